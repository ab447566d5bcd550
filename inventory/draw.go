package inventory

// Draw is a count wanted from one lot, in the unit of that lot.
type Draw struct {
	Lot   int64
	Count float64
}

// Donor is the equipment parts came out of.
type Donor struct {
	Name  string
	Plate string // what the rating plate says
	State string // what was found broken in it
	Note  string
}

// Validate reports the first text that cannot be stored.
func (d Donor) Validate() error {
	if d.Name == "" {
		return DataError{Msg: "donor \"\": has no name; name the equipment"}
	}
	for _, err := range []error{CheckName("donor", d.Name), CheckNote("plate", d.Plate), CheckNote("state", d.State),
		CheckNote("note", d.Note)} {
		if err != nil {
			return err
		}
	}
	return nil
}
