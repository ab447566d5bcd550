package stage

// FirstGap is the place of the first gap whose low end is at or above al.
func (c *BareCore) FirstGap(al float64) int {
	low, high := 0, len(c.Gaps)
	for low < high {
		mid := (low + high) / 2
		if float64(c.Gaps[mid].Al) < al {
			low = mid + 1
		} else {
			high = mid
		}
	}
	return low
}
