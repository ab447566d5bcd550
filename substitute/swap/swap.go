// Package swap judges what may stand in for a part of a build.
package swap

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"sparewright/catalog"
	"sparewright/catalog/complete"
	"sparewright/inventory"
	"sparewright/substitute"
	"sparewright/substitute/search"
	"sparewright/substitute/seats"
)

// SwapVerdict says whether a part on hand can take the place of another in a build.
type SwapVerdict string

// The verdicts. Same: nothing that is wound or soldered changes and no margin moves by a whole
// percent. Recomputed: feasible with other turns, gap, values or losses. Worse: feasible, but the
// smallest margin falls by more than WorseStep. Refused: a limit fails, which is named.
const (
	SwapSame       SwapVerdict = "same"
	SwapRecomputed SwapVerdict = "recomputed"
	SwapWorse      SwapVerdict = "worse"
	SwapRefused    SwapVerdict = "refused"
)

// WorseStep is how far the smallest margin of a build may fall before a stand-in counts as worse:
// five points of a hundred.
const WorseStep = 0.05

// sameStep is the rounding of a printed margin, a whole percent.
const sameStep = 0.01

// Swap is every stand-in on hand for one part of a build.
type Swap struct {
	Target      substitute.Target `json:"target"`
	Rank        int               `json:"rank"`
	Role        seats.ID          `json:"role"`
	Kind        catalog.Kind      `json:"kind"`
	Lot         int64             `json:"lot"`
	Designation string            `json:"designation"`
	Margin      float64           `json:"margin"` // smallest margin of the build as it is
	Binding     string            `json:"binding"`
	Rules       []SwapRule        `json:"rules"`
	StandIns    []StandIn         `json:"stand_ins"`
	Cautions    []string          `json:"cautions"`
}

// SwapRule is one rule of the table of substitutions that holds for the part.
type SwapRule struct {
	Parameter string `json:"parameter"`
	Field     string `json:"field,omitempty"`
	Safe      string `json:"safe"` // the safe side: >=, <=, =, within or any
	Hard      bool   `json:"hard"`
	Limit     string `json:"limit"`
	Redo      string `json:"redo,omitempty"`
	Source    string `json:"source"`
}

// StandIn is one lot held against the place of a part. Margin, Binding and Soft are of the build
// with it and missing when it is refused.
type StandIn struct {
	Lot         int64          `json:"lot"`
	Designation string         `json:"designation"`
	Free        float64        `json:"free" figures:"entered"`
	Unit        inventory.Unit `json:"unit"`
	Bin         string         `json:"bin,omitempty"`
	Verdict     SwapVerdict    `json:"verdict"`
	Binds       Bound          `json:"binds"` // the parameter that decides
	Changes     []SwapChange   `json:"changes"`
	Margin      *float64       `json:"margin,omitempty"`
	Binding     string         `json:"binding,omitempty"`
	Soft        []Bound        `json:"soft,omitempty"` // soft limits it misses
}

// SwapChange is one number or part of the build that the stand-in changes.
type SwapChange struct {
	What   string `json:"what"`
	Before string `json:"before"`
	After  string `json:"after"`
}

// SwapFault says why no stand-ins can be looked for. Roles are those of the build, when the role is
// none of them.
type SwapFault struct {
	Role, Why string
	Roles     []string
}

func (f SwapFault) Error() string { return fmt.Sprintf("role %q: %s", f.Role, f.Why) }

// Swapper judges stand-ins for one seat of one build.
type Swapper struct {
	Target   substitute.Target
	Snapshot inventory.Snapshot
	Build    *substitute.Build
}

// StandIns judges every lot of the same kind on hand for the place of a part in a build found in
// the snapshot. The part is named by its role, or by its lot, or by both where a role is made of
// several lots or a lot serves several roles. The order of the lots has no influence.
func StandIns(t substitute.Target, snapshot inventory.Snapshot, b *substitute.Build, role string,
	lot int64) (Swap, error) {
	s := &Swapper{t, snapshot.Sorted(), b}
	at, err := s.Find(role, lot)
	if err != nil {
		return Swap{}, err
	}
	margin, binding := SmallestMargin(b)
	out := Swap{Target: t, Rank: b.Rank, Role: at.Role, Kind: at.Part.Kind(), Lot: at.Lot,
		Designation: at.Part.Designation(),
		Margin:      margin, Binding: binding, Rules: rulesFor(at.Part.Kind(),
			at.Role), StandIns: []StandIn{}, Cautions: substitute.Cautions(t)}
	var lots []inventory.Lot
	for _, l := range s.Snapshot.Usable().ByKind(at.Part.Kind()) {
		if l.ID != at.Lot {
			lots = append(lots, l)
		}
	}
	out.StandIns = make([]StandIn, len(lots))
	search.Each(len(lots), func(i int) { out.StandIns[i] = s.Judge(at, lots[i]) })
	slices.SortStableFunc(out.StandIns, byVerdict)
	return out, nil
}

var verdictOrder = map[SwapVerdict]int{SwapSame: 0, SwapRecomputed: 1, SwapWorse: 2, SwapRefused: 3}

// byVerdict puts the nearest first: by verdict, then the margin in whole percents (of refused ones
// how far off they are), then lot.
func byVerdict(a, b StandIn) int {
	rank := func(s StandIn) float64 {
		margin := s.Binds.margin
		if s.Margin != nil {
			margin = *s.Margin
		}
		return math.Round(100 * max(-1e6, min(1e6, margin)))
	}
	return cmp.Or(cmp.Compare(verdictOrder[a.Verdict], verdictOrder[b.Verdict]),
		cmp.Compare(rank(b), rank(a)), cmp.Compare(a.Lot, b.Lot))
}

// Find settles which part is meant.
func (s *Swapper) Find(role string, lot int64) (seat, error) {
	if id, ok := seats.Named(role); ok {
		role = id.String()
	}
	var roles []seats.ID
	lots := map[int64]bool{}
	for _, p := range s.Build.Parts {
		r := p.Role.Base()
		if role != "" && r.String() != role || lot != 0 && p.Lot != lot {
			continue
		}
		if p.Source != "drawer" {
			return seat{}, SwapFault{r.String(), "that part is to be bought; shop says what", nil}
		}
		if !slices.Contains(roles, r) {
			roles = append(roles, r)
		}
		lots[p.Lot] = true
	}
	switch {
	case len(roles) == 0 && lot != 0:
		return seat{}, SwapFault{role, fmt.Sprintf("lot %d has no such place in this build", lot),
			nil}
	case len(roles) == 0:
		return seat{}, SwapFault{role, "no such part in this build; its parts list names them " +
			"(advise --pick)", seats.Names(s.roles())}
	case len(roles) > 1:
		return seat{}, SwapFault{role, fmt.Sprintf("lot %d serves several places: %s; name one",
			lot, strings.Join(seats.Names(roles), "; ")), nil}
	case len(lots) > 1:
		return seat{}, SwapFault{role, "is made of several lots, " + lotList(lots) + "; name one",
			nil}
	}
	for id := range lots {
		lot = id
	}
	l, ok := s.Snapshot.Lot(lot)
	if !ok {
		return seat{}, SwapFault{roles[0].String(),
			fmt.Sprintf("lot %d is not in the drawer", lot), nil}
	}
	return seat{roles[0], lot, Completed(l)}, nil
}

// Completed is the part of a lot as the search sees it.
func Completed(l inventory.Lot) catalog.Part { return complete.Part(inventory.Effective(l)) }

func (s *Swapper) roles() []seats.ID {
	var out []seats.ID
	for _, p := range s.Build.Parts {
		if r := p.Role.Base(); p.Source == "drawer" && !slices.Contains(out, r) {
			out = append(out, r)
		}
	}
	return out
}

func lotList(lots map[int64]bool) string {
	var ids []int64
	for id := range lots {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return strings.Trim(strings.ReplaceAll(fmt.Sprint(ids), " ", ", "), "[]")
}

// partIn returns the part that fills a role, nil when there is none.
func (s *Swapper) partIn(role seats.ID) catalog.Part {
	for _, p := range s.Build.Parts {
		if p.Role == role && p.Source == "drawer" {
			if l, ok := s.Snapshot.Lot(p.Lot); ok {
				return Completed(l)
			}
		}
	}
	return nil
}

// piecesIn counts the pieces that fill a role, one at least.
func (s *Swapper) piecesIn(role seats.ID) (n float64) {
	for _, p := range s.Build.Parts {
		if p.Role == role {
			n += p.Quantity
		}
	}
	return max(1, n)
}

func rulesFor(k catalog.Kind, role seats.ID) []SwapRule {
	out := []SwapRule{}
	for _, r := range catalog.Substitutions(k, role.String()) {
		_, name, ok := strings.Cut(r.Name, ": ")
		if !ok {
			name = r.Name
		}
		source := r.Source.Document
		if r.Source.Where != "" {
			source += ", " + r.Source.Where
		}
		out = append(out, SwapRule{name, r.Field, r.Safe, r.Hard, r.Limit, r.Redo, source})
	}
	return out
}
