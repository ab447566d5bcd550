package substitute

// ToBuy is the part of a parts list that the drawer lacks.
func ToBuy(parts []PartUse) []PartUse {
	var out []PartUse
	for _, p := range parts {
		if p.Source == "buy" {
			out = append(out, p)
		}
	}
	return out
}
