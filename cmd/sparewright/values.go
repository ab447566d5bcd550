package main

import (
	"errors"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog/si"
	"sparewright/catalog/typed"
)

// quantity is the value of an option that takes one physical quantity, such as --current 500mA.
type quantity[Q si.Quantity] struct {
	value  Q
	unit   typed.Unit // how a bare number is read
	text   string     // as typed; empty when the option was not given
	remark string     // how a bare number was read, where that is no matter of course
}

// Set implements flag.Value.
func (q *quantity[Q]) Set(text string) error {
	v, remark, err := typed.Option[Q]("value", text, q.unit)
	if err != nil {
		return err
	}
	q.value, q.text, q.remark = v, text, remark
	return nil
}

// said tells how the value was read, "" where it says it itself.
func (q *quantity[Q]) said() string { return q.remark }

// String implements flag.Value.
func (q *quantity[Q]) String() string { return q.text }

// given reports whether the option stood in the call.
func (q *quantity[Q]) given() bool { return q.text != "" }

// ohmSpan is the value of an option that takes a range of resistance, such as --total 10k-100k.
type ohmSpan struct {
	value si.Interval[si.Resistance]
	text  string
}

// Set implements flag.Value.
func (s *ohmSpan) Set(text string) error {
	v, err := typed.ResistanceRange(text)
	if err != nil {
		return err
	}
	s.value, s.text = v, text
	return nil
}

// String implements flag.Value.
func (s *ohmSpan) String() string { return s.text }

// whole is the value of an option that takes a whole number from low to high.
type whole struct {
	low, high int
	value     int
	text      string
}

// Set implements flag.Value.
func (w *whole) Set(text string) error {
	n, err := wholeNumber(text, w.low, w.high)
	if err != nil {
		return err
	}
	w.value, w.text = n, text
	return nil
}

// String implements flag.Value.
func (w *whole) String() string { return w.text }

// given reports whether the option stood in the call.
func (w *whole) given() bool { return w.text != "" }

// wholeNumber reads decimal digits, nothing else, and checks the range.
func wholeNumber(text string, low, high int) (int, error) {
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

// choice is the value of an option that takes one of a few words.
type choice struct {
	words []string
	word  string // the default until set
	set   bool
}

// Set implements flag.Value. Letter case does not matter.
func (c *choice) Set(text string) error {
	for _, w := range c.words {
		if strings.EqualFold(w, text) {
			c.word, c.set = w, true
			return nil
		}
	}
	return errors.New("must be one of " + strings.Join(c.words, ", ") +
		didYouMean("", text, c.words))
}

// String implements flag.Value.
func (c *choice) String() string { return c.word }

// given reports whether the option stood in the call.
func (c *choice) given() bool { return c.set }

// texts is the value of an option that may be repeated; the text is taken as it is, commas
// included.
type texts []string

// Set implements flag.Value.
func (t *texts) Set(text string) error {
	*t = append(*t, text)
	return nil
}

// String implements flag.Value.
func (t *texts) String() string { return strings.Join(*t, "; ") }

// box is the value of an option that takes three outer lengths of a case, such as 90x60x40
// (millimetres unless a unit is written; 9x6x4cm has one for all).
type box struct {
	sides [3]si.Length
	text  string
}

// Set implements flag.Value.
func (b *box) Set(text string) error {
	sides, err := typed.Box(text)
	if err != nil {
		return err
	}
	for _, v := range sides {
		if v <= 0 {
			return errors.New("a side must be longer than nothing")
		}
	}
	b.sides, b.text = sides, text
	return nil
}

// String implements flag.Value.
func (b *box) String() string { return b.text }

// given reports whether the option stood in the call.
func (b *box) given() bool { return b.text != "" }

// mains is the value of --mains: a range, or one nominal voltage with the tolerance of public
// supplies.
type mains struct {
	value  si.Interval[si.Voltage]
	text   string
	remark string
}

// Set implements flag.Value.
func (m *mains) Set(text string) error {
	v, remark, err := typed.Mains(text)
	if err != nil {
		return err
	}
	m.value, m.text, m.remark = v, text, remark
	return nil
}

// String implements flag.Value.
func (m *mains) String() string { return m.text }

func (m *mains) said() string { return m.remark }

// remarked is the value of an option that may have been read otherwise than as it stands.
type remarked interface{ said() string }

// saidOf lists how the options of a call were read, in the order of the options.
func saidOf(c *cli.Context) []string {
	var out []string
	for _, f := range c.Command.Flags {
		g, ok := f.(*cli.GenericFlag)
		if !ok {
			continue
		}
		if r, ok := g.Value.(remarked); ok && c.IsSet(g.Name) && r.said() != "" {
			text := r.said()
			if rest, found := strings.CutPrefix(text, "value "); found {
				text = dashed(g.Name) + " " + rest
			}
			out = append(out, text)
		}
	}
	return out
}
