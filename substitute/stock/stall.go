package stock

import (
	"sparewright/catalog"
)

// SoldAs is the designation under which a part of a shelf is bought.
func (s Shelf) SoldAs(name string) string {
	if s.Kind == catalog.KindCore {
		return soldCore(name)
	}
	return name
}

// Only is the shelf with one of its parts.
func (s Shelf) Only(name string) Shelf {
	return Shelf{Word: s.Word, Kind: s.Kind, Names: []string{name}}
}
