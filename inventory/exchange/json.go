package exchange

import (
	"bytes"
	"encoding/json"
	"time"

	"sparewright/catalog"
	"sparewright/catalog/si"
	"sparewright/inventory"
)

// LotsJSON is the document of list --json.
type LotsJSON struct {
	Lots []LotJSON `json:"lots"`
}

// LotJSON is one lot in a document. Count and Available are in Unit, "piece" or "metre". Texts that
// are not known are left out. Movements are there only where history is shown.
type LotJSON struct {
	Lot         int64          `json:"lot"`
	Kind        string         `json:"kind"`
	Designation string         `json:"designation"`
	Count       float64        `json:"count" figures:"entered"`
	Available   float64        `json:"available" figures:"entered"`
	Unit        string         `json:"unit"`
	Bin         string         `json:"bin,omitempty"`
	Donor       string         `json:"donor,omitempty"`
	Condition   string         `json:"condition"`
	Note        string         `json:"note,omitempty"`
	Part        PartJSON       `json:"part"`
	Measured    []ReadingJSON  `json:"measured,omitempty"`
	Movements   []MovementJSON `json:"movements,omitempty"`
}

// ReadingJSON is one reading: Figure is the name of the figure as in the part, Value is in its
// unit, MeterError a ratio.
type ReadingJSON struct {
	Figure     string  `json:"figure"`
	Value      float64 `json:"value" figures:"entered"`
	MeterError float64 `json:"meter_error" figures:"entered"`
	Text       string  `json:"text,omitempty"`
}

// MovementJSON is one line of the ledger; Delta is in the unit of the lot, When in universal time
// (RFC 3339).
type MovementJSON struct {
	Delta  float64 `json:"delta" figures:"entered"`
	Reason string  `json:"reason,omitempty"`
	When   string  `json:"when"`
}

// PartJSON holds the figures of a part in the order of its schema. As JSON it is one object: each
// figure under its name with the unit (resistance_ohm, gap_m), words under their plain name, and
// "basis" with how each figure is known.
type PartJSON struct {
	kind   catalog.Kind
	values []catalog.Value
}

// LotsDocument makes the document of several lots, in the order given.
func LotsDocument(lots []inventory.Lot) LotsJSON {
	d := LotsJSON{Lots: make([]LotJSON, 0, len(lots))}
	for _, l := range lots {
		d.Lots = append(d.Lots, LotDocument(l))
	}
	return d
}

// LotDocument makes the JSON form of one lot. What was measured stands in the part in place of what
// was printed; the basis says so.
func LotDocument(l inventory.Lot) LotJSON {
	j := LotJSON{
		Lot: l.ID, Kind: string(l.Part.Kind()), Designation: l.Part.Designation(),
		Count: l.Count, Available: inventory.RoundCount(l.Available()), Unit: string(l.Unit()),
		Bin: l.Bin, Donor: l.Donor, Condition: string(l.Condition), Note: l.Note,
		Part: PartDocument(inventory.Effective(l)),
	}
	for _, m := range l.Measured {
		f, _ := catalog.FieldNamed(l.Part.Kind(), m.Field)
		j.Measured = append(j.Measured, ReadingJSON{FigureName(f), m.Value, m.Error, m.Text})
	}
	return j
}

// PartDocument makes the JSON form of the figures of a part.
func PartDocument(p catalog.Part) PartJSON {
	return PartJSON{p.Kind(), catalog.Describe(p).Values}
}

// MovementsDocument makes the JSON form of a ledger.
func MovementsDocument(ms []inventory.Movement) []MovementJSON {
	out := make([]MovementJSON, len(ms))
	for i, m := range ms {
		out[i] = MovementJSON{m.Delta, m.Reason, Moment(m.When)}
	}
	return out
}

// Moment is how documents write a time: universal time, RFC 3339.
func Moment(t time.Time) string { return t.UTC().Format(time.RFC3339) }

// suffixes is the unit at the end of a JSON name, by quantity. Plain numbers have none.
var suffixes = map[string]string{
	"voltage": "_v", "current": "_a", "power": "_w", "energy": "_j", "charge": "_c",
	"resistance":  "_ohm",
	"capacitance": "_f", "inductance": "_h", "inductance factor": "_h", "reluctance": "_per_h",
	"frequency": "_hz",
	"time":      "_s", "length": "_m", "area": "_m2", "volume": "_m3", "mass": "_kg",
	"flux density": "_t",
	"loss density": "_w_per_m3", "temperature": "_c", "temperature difference": "_k",
	"thermal resistance": "_k_per_w", "resistance per length": "_ohm_per_m",
	"mass per length":         "_kg_per_m",
	"temperature coefficient": "_per_k", "number": "",
}

// FigureName is the name of a figure in JSON: its name in the catalog and its SI unit, as in
// resistance_ohm.
func FigureName(f catalog.Field) string { return f.Name + suffixes[f.Quantity] }

// MarshalJSON writes the object in schema order, "basis" last. A figure that is no number is an
// error of encoding/json.
func (p PartJSON) MarshalJSON() ([]byte, error) {
	var figures, basis object
	for _, v := range p.values {
		if !v.Numeric {
			figures.add(v.Field, v.Text)
			continue
		}
		f, _ := catalog.FieldNamed(p.kind, v.Field)
		figures.add(FigureName(f), si.Entered(v.Number))
		basis.add(FigureName(f), v.Basis.String())
	}
	if len(basis.members) > 0 {
		figures.add("basis", &basis)
	}
	return figures.MarshalJSON()
}

// object is a JSON object that keeps the order of its members.
type object struct {
	members []member
}

type member struct {
	name  string
	value any
}

func (o *object) add(name string, value any) { o.members = append(o.members, member{name, value}) }

// MarshalJSON writes the members in order.
func (o *object) MarshalJSON() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	b.WriteByte('{')
	for i, m := range o.members {
		if i > 0 {
			b.WriteByte(',')
		}
		if err := enc.Encode(m.name); err != nil {
			return nil, err
		}
		b.WriteByte(':')
		if err := enc.Encode(m.value); err != nil {
			return nil, err
		}
	}
	b.WriteByte('}')
	return b.Bytes(), nil
}
