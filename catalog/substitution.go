package catalog

import (
	"slices"
	"strings"
	"sync"
)

// Substitution is a rule for putting one part in the place of another: which figure counts in a
// role, which side of it is safe and whether the limit refuses. Field is empty for what only the
// eye or the bench can tell.
type Substitution struct {
	Name  string
	Kind  Kind
	Roles []string // as in the parts list of a build
	Field string   // figure or word of the kind
	Safe  string   // ">=", "<=", "=", "within" or "any": the safe side
	Hard  bool     // the wrong side refuses; a soft one is only told
	Limit string   // the limit in words
	// what the search works out anew when the figure moves; empty when nothing makes up for it
	Redo   string
	Reason string
	Source Source
}

// Directions of Substitution.Safe.
const (
	SafeAbove  = ">="
	SafeBelow  = "<="
	SafeEqual  = "="
	SafeWithin = "within"
	SafeAny    = "any"
)

var substitutions = sync.OnceValue(func() []Substitution {
	var out []Substitution
	for _, c := range readTable("substitutions.tsv") {
		k, err := ParseKind(c.text("kind"))
		if err != nil {
			c.broken("kind", err)
		}
		s := Substitution{Name: c.text("designation"), Kind: k,
			Roles: strings.Split(c.text("role"), "|"), Field: c.text("field"),
			Safe: c.text("direction"), Hard: c.text("hard") ==
				"yes", Limit: c.text("limit"), Redo: c.text("redo"),
			Reason: c.text("note"), Source: c.source()}
		if _, known := FieldNamed(k, s.Field); s.Field != "" && !known {
			c.broken("field", "no such figure")
		}
		if !slices.Contains([]string{SafeAbove, SafeBelow, SafeEqual, SafeWithin, SafeAny},
			s.Safe) {
			c.broken("direction", "must be >=, <=, =, within or any")
		}
		out = append(out, s)
	}
	return out
})

// Substitutions returns the rules for one role of a kind, in the order of the table; with an empty
// role those of every role of the kind. The slice is the caller's own.
func Substitutions(k Kind, role string) []Substitution {
	var out []Substitution
	for _, s := range substitutions() {
		if s.Kind == k && (role == "" || slices.Contains(s.Roles, role)) {
			out = append(out, s)
		}
	}
	return out
}

// SubstitutionFor returns the rule for one figure in one role.
func SubstitutionFor(k Kind, role, field string) (Substitution, bool) {
	for _, s := range Substitutions(k, role) {
		if s.Field == field && field != "" {
			return s, true
		}
	}
	return Substitution{}, false
}
