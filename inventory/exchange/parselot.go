package exchange

import (
	"errors"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/typed"
	"sparewright/inventory"
)

// ParseLot makes a lot of the words typed for it: the kind, the designation and figures as
// "name=value". Count, bin and the rest are left to the caller; the condition is Untested. What was
// read otherwise than as it stands is told in said. Every fault is returned, without a place; with
// any, the lot is not to be used.
func ParseLot(kind, designation string, pairs []string) (l inventory.Lot, said []string,
	faults []Fault) {
	k, err := catalog.ParseKind(kind)
	if err != nil {
		return inventory.Lot{}, nil, []Fault{{Msg: err.Error()}}
	}
	var entries []catalog.Entry
	for _, p := range pairs {
		field, value, found := strings.Cut(p, "=")
		if !found {
			faults = append(faults, Fault{Msg: "figure " + quoted(p) +
				": has no value; write it as name=value"})
			continue
		}
		entries = append(entries, catalog.Entry{Field: strings.TrimSpace(field),
			Text: strings.TrimSpace(value)})
	}
	part, said, err := typed.Part(k, designation, entries)
	for _, f := range faultsOf(err) {
		faults = append(faults, Fault{Msg: f.Error()})
	}
	if len(faults) > 0 {
		return inventory.Lot{}, nil, faults
	}
	return inventory.Lot{Part: part, Condition: inventory.Untested}, said, nil
}

// faultsOf lists what the catalog finds wrong with a part.
func faultsOf(err error) []catalog.Fault {
	var many catalog.Faults
	var one catalog.Fault
	switch {
	case err == nil:
		return nil
	case errors.As(err, &many):
		return many
	case errors.As(err, &one):
		return []catalog.Fault{one}
	}
	return []catalog.Fault{{Why: err.Error()}}
}
