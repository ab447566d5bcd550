package frame

import (
	"errors"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/catalog/typed"
)

// Quantity is the value of an option that takes one physical quantity, such as --current 500mA.
type Quantity[Q si.Quantity] struct {
	Value  Q          // in SI
	Unit   typed.Unit // how a bare number is read
	Text   string     // as typed; empty when the option was not given
	remark string     // how a bare number was read, where that is no matter of course
}

// Set implements flag.Value.
func (q *Quantity[Q]) Set(text string) error {
	v, remark, err := typed.Option[Q]("value", text, q.Unit)
	if err != nil {
		return err
	}
	q.Value, q.Text, q.remark = v, text, remark
	return nil
}

// Said tells how the value was read, "" where it says it itself.
func (q *Quantity[Q]) Said() string { return q.remark }

// String implements flag.Value.
func (q *Quantity[Q]) String() string { return q.Text }

// Given reports whether the option stood in the call.
func (q *Quantity[Q]) Given() bool { return q.Text != "" }

// OhmSpan is the value of an option that takes a range of resistance, such as --total 10k-100k.
type OhmSpan struct {
	Value si.Interval[si.Resistance] // both ends in ohms
	Text  string                     // as typed
}

// Set implements flag.Value.
func (s *OhmSpan) Set(text string) error {
	v, err := typed.ResistanceRange(text)
	if err != nil {
		return err
	}
	s.Value, s.Text = v, text
	return nil
}

// String implements flag.Value.
func (s *OhmSpan) String() string { return s.Text }

// Whole is the value of an option that takes a whole number from low to high.
type Whole struct {
	Low, High int    // what is taken
	Value     int    // the default until set
	Text      string // as typed; empty when the option was not given
}

// Set implements flag.Value.
func (w *Whole) Set(text string) error {
	n, err := WholeNumber(text, w.Low, w.High)
	if err != nil {
		return err
	}
	w.Value, w.Text = n, text
	return nil
}

// String implements flag.Value.
func (w *Whole) String() string { return w.Text }

// Given reports whether the option stood in the call.
func (w *Whole) Given() bool { return w.Text != "" }

// WholeNumber reads decimal digits, nothing else, and checks the range.
func WholeNumber(text string, low, high int) (int, error) {
	n, err := strconv.Atoi(text)
	switch {
	case err != nil || strings.HasPrefix(text, "+"):
		return 0, errors.New("not a whole number; write digits only, such as " +
			strconv.Itoa(max(low, 1)))
	case n < low || n > high:
		return 0, errors.New("must be from " + strconv.Itoa(low) + " to " + strconv.Itoa(high))
	}
	return n, nil
}

// Choice is the value of an option that takes one of a few words.
type Choice struct {
	Words []string // what is taken
	Word  string   // the default until set
	set   bool
}

// Set implements flag.Value. Letter case does not matter.
func (c *Choice) Set(text string) error {
	for _, w := range c.Words {
		if strings.EqualFold(w, text) {
			c.Word, c.set = w, true
			return nil
		}
	}
	return errors.New("must be one of " + strings.Join(c.Words, ", ") +
		DidYouMean("", text, c.Words))
}

// String implements flag.Value.
func (c *Choice) String() string { return c.Word }

// Given reports whether the option stood in the call.
func (c *Choice) Given() bool { return c.set }

// Texts is the value of an option that may be repeated; the text is taken as it is, commas
// included.
type Texts []string

// Set implements flag.Value.
func (t *Texts) Set(text string) error {
	*t = append(*t, text)
	return nil
}

// String implements flag.Value.
func (t *Texts) String() string { return strings.Join(*t, "; ") }

// Box is the value of an option that takes three outer lengths of a case, such as 90x60x40
// (millimetres unless a unit is written; 9x6x4cm has one for all).
type Box struct {
	Sides [3]si.Length // in metres; zero when the option was not given
	Text  string       // as typed
}

// Set implements flag.Value.
func (b *Box) Set(text string) error {
	sides, err := typed.Box(text)
	if err != nil {
		return err
	}
	for _, v := range sides {
		if v <= 0 {
			return errors.New("a side must be longer than nothing")
		}
	}
	b.Sides, b.Text = sides, text
	return nil
}

// String implements flag.Value.
func (b *Box) String() string { return b.Text }

// Given reports whether the option stood in the call.
func (b *Box) Given() bool { return b.Text != "" }

// Mains is the value of --mains: a range, or one nominal voltage with the tolerance of public
// supplies.
type Mains struct {
	Value  si.Interval[si.Voltage] // volts rms, the default until set
	Text   string                  // as typed
	remark string
}

// Set implements flag.Value.
func (m *Mains) Set(text string) error {
	v, remark, err := typed.Mains(text)
	if err != nil {
		return err
	}
	m.Value, m.Text, m.remark = v, text, remark
	return nil
}

// String implements flag.Value.
func (m *Mains) String() string { return m.Text }

// Said tells how one voltage was read as a range, "" for a range.
func (m *Mains) Said() string { return m.remark }

// remarked is the value of an option that may have been read otherwise than as it stands.
type remarked interface{ Said() string }

// SaidOf lists how the options of a call were read, in the order of the options.
func SaidOf(c *cli.Context) []string {
	var out []string
	for _, f := range c.Command.Flags {
		g, ok := f.(*cli.GenericFlag)
		if !ok {
			continue
		}
		if r, ok := g.Value.(remarked); ok && c.IsSet(g.Name) && r.Said() != "" {
			text := r.Said()
			if rest, found := strings.CutPrefix(text, "value "); found {
				text = Dashed(g.Name) + " " + rest
			}
			out = append(out, text)
		}
	}
	return out
}
