package inventory

import "strings"

// Donor is the equipment parts came out of.
type Donor struct {
	Name  string
	Was   string // what it was, such as phone charger
	Plate string // what the rating plate says, as typed; ParsePlate reads it
	State string // working, dead, or what was found broken in it
	Note  string
}

// Described reports whether more than the name is known.
func (d Donor) Described() bool { return d.Was+d.Plate+d.State+d.Note != "" }

// Validate reports the first text that cannot be stored.
func (d Donor) Validate() error {
	if d.Name == "" {
		return DataError{Msg: "donor \"\": has no name; name the equipment"}
	}
	for _, err := range []error{CheckName("donor", d.Name), CheckName("was", d.Was),
		CheckNote("plate", d.Plate),
		CheckNote("state", d.State), CheckNote("note", d.Note)} {
		if err != nil {
			return err
		}
	}
	return nil
}

// Tidy returns the donor without blanks at the ends of what is said of it; name and note are left
// as they are.
func (d Donor) Tidy() Donor {
	d.Was, d.Plate, d.State = strings.TrimSpace(d.Was), strings.TrimSpace(d.Plate),
		strings.TrimSpace(d.State)
	return d
}
