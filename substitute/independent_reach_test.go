package substitute_test

import (
	"fmt"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/inventory"
	"sparewright/inventory/exchange"
	"sparewright/substitute"
	"sparewright/substitute/advise"
)

// complaints collects what an audit says instead of failing.
type complaints struct{ said []string }

func (c *complaints) Errorf(format string, words ...any) {
	c.said = append(c.said, fmt.Sprintf(format, words...))
}

func (c *complaints) FailNow() {}

// complain runs one audit over a build.
func complain(s inventory.Snapshot, target substitute.Target, b *substitute.Build,
	run func(audit)) string {
	c := &complaints{}
	run(newAudit(c, s, target, b))
	return strings.Join(c.said, "\n")
}

// quickFirst are the audits, those that step through time or lay windings last: most figures are
// noticed before.
func quickFirst() []func(audit) {
	slow := []string{"windings", "balance", "mains side", "loops"}
	var out []func(audit)
	for _, topic := range topics {
		if !slices.Contains(slow, topic.name) {
			out = append(out, topic.run)
		}
	}
	for _, topic := range topics {
		if slices.Contains(slow, topic.name) {
			out = append(out, topic.run)
		}
	}
	return out
}

// A figure that could be wrong without any audit noticing would make the audits worthless: each
// figure of a build is falsified by 5 % in turn, and the complaints must change. Not held: the
// fringing factor, which belongs to the engine's own model; lengths of tape, which may be generous;
// rank and cost, which TestBuildsRecomputed holds over all builds; the window in which every limit
// holds, which TestWindowEndsWhereALimitFails holds.
func TestEveryFigureIsHeld(t *testing.T) {
	unheld := map[string]bool{"Gap.Fringing": true, "Rank": true, "Score.Cost": true}
	target, err := wanted()[0].Resolve(0)
	require.NoError(t, err)
	drawer := exchange.Demo()
	b := ofKind(advise.Advise(target, drawer, advise.Options{}).Builds, substitute.Wound)[0]
	audits := quickFirst()
	var before []string
	for _, run := range audits {
		before = append(before, complain(drawer, target, &b, run))
	}
	noticed := func() bool {
		for i, run := range audits {
			if complain(drawer, target, &b, run) != before[i] {
				return true
			}
		}
		return false
	}
	held := 0
	figuresOf(reflect.ValueOf(&b).Elem(), "", func(name string, v reflect.Value) {
		if unheld[name] || strings.HasPrefix(name, "Transformer.Tape") &&
			strings.HasSuffix(name, "Length") {
			return
		}
		kept := reflect.ValueOf(v.Interface())
		falsify(v)
		if kept.Interface() != v.Interface() {
			held++
			if !noticed() {
				t.Errorf("nobody notices %s = %v instead of %v", name, v, kept)
			}
		}
		v.Set(kept)
	})
	require.Greater(t, held, 100)
}

// figuresOf shows every number and truth value of the JSON form of a build with its path. Lists are
// shown whole; the checks' texts are not figures.
func figuresOf(v reflect.Value, path string, show func(string, reflect.Value)) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			if f := v.Type().Field(i); f.IsExported() && f.Tag.Get("json") != "-" {
				figuresOf(v.Field(i), strings.TrimPrefix(path+"."+f.Name, "."), show)
			}
		}
	case reflect.Slice:
		for i := range v.Len() {
			figuresOf(v.Index(i), fmt.Sprintf("%s[%d]", path, i), show)
		}
	case reflect.Float64, reflect.Int, reflect.Int64, reflect.Bool:
		show(path, v)
	}
}

// falsify changes a float by 5 %, a count by one and turns a truth value round.
func falsify(v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		v.SetFloat(v.Float() * 1.05)
	case reflect.Bool:
		v.SetBool(!v.Bool())
	default:
		v.SetInt(v.Int() + 1)
	}
}
