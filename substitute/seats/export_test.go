package seats

// What only tests ask for.

// All lists every seat in the order of the table.
func All() []ID {
	out := make([]ID, 0, count-1)
	for id := None + 1; id < count; id++ {
		out = append(out, id)
	}
	return out
}
