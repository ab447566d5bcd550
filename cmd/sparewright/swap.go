package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"sparewright/catalog"
	"sparewright/substitute/report"
	"sparewright/substitute/report/screen"
	"sparewright/substitute/swap"
)

// swapFlags are the options of swap beside those of the target.
type swapFlags struct {
	target *targetFlags
	pick   pickFlags
	needs  *texts
}

// swapCommand judges every stand-in on hand for one part.
func swapCommand(env *environment) *cli.Command {
	s := swapFlags{newTargetFlags(), newPickFlags(), &texts{}}
	return &cli.Command{
		Description: "Judges every part on hand that could take the place of one part of a " +
			"build, named by its --role or --lot: same " +
			"(nothing else changes), recomputed (feasible with other turns, gap or values), " +
			"worse (the smallest margin falls by more " +
			"than 5 %), or refused, with the figure that decides. With --kind and --need the " +
			"part belongs to a circuit of your own: " +
			"FIGURE>=VALUE, FIGURE<=VALUE, FIGURE=WORD or FIGURE=LOW-HIGH, parted by spaces. The " +
			"exit status is 1 when nothing on " +
			"hand will do.",
		UsageText: "sparewright swap --chemistry li-ion --cells 4 --current 1A --role \"output " +
			"rectifier\" --demo\n" +
			"sparewright swap --chemistry li-ion --cells 4 --current 1A --pick 2 --role switcher " +
			"--json --demo\n" +
			"sparewright swap --kind rectifier --need \"reverse>=60V average>=3A " +
			"technology=schottky\" --demo",
		Flags: append(append(append(s.target.flags(), s.pick.flags()...),
			&cli.StringFlag{Name: "role",
				Usage: "`ROLE` of the part, as in the parts list of the build"},
			&cli.StringFlag{Name: "lot", Usage: "`LOT` the build takes the part from"},
			&cli.StringFlag{Name: "kind", Usage: "`KIND` of a part outside any build, with --need"},
			&cli.GenericFlag{Name: "need", Value: s.needs, Usage: "`RATINGS` it must have"},
		), readingFlags()...),
		Action: env.action(0, 0, func(c *cli.Context) error {
			if c.IsSet("kind") || c.IsSet("need") {
				return swapOutside(env, c, s)
			}
			return swapInBuild(env, c, s)
		}),
	}
}

func swapInBuild(env *environment, c *cli.Context, s swapFlags) error {
	if !c.IsSet("role") && !c.IsSet("lot") {
		return wrongCall("--role", "",
			"missing; name the part of the build by its role or its lot").try(
			"sparewright help swap")
	}
	var lot int64
	if c.IsSet("lot") {
		var err error
		if lot, err = lotNumber(c.String("lot")); err != nil {
			return err
		}
	}
	p, err := env.pickedBuild(c, s.target, s.pick, "no part to swap")
	if err != nil {
		return err
	}
	judged, err := swap.StandIns(p.target, p.snapshot, p.build, c.String("role"), lot)
	var fault swap.SwapFault
	if errors.As(err, &fault) {
		return wrongCall("--role", fault.Role, fault.Why+didYouMean("", fault.Role, fault.Roles))
	}
	if err != nil {
		return err
	}
	return env.swapped(c, judged, screen.Swap(judged), judged.StandIns)
}

func swapOutside(env *environment, c *cli.Context, s swapFlags) error {
	kind, wanted, said, err := wantedFromCall(c, s)
	if err != nil {
		return err
	}
	snapshot, err := env.snapshot(c)
	if err != nil {
		return err
	}
	judged := swap.StandInsOutside(kind, wanted, snapshot)
	err = env.swapped(c, judged, screen.Outside(judged), judged.StandIns)
	env.remarks(c, said)
	return err
}

// swapped prints the answer; the exit status tells whether anything will do.
func (env *environment) swapped(c *cli.Context, document any, blocks []report.Block,
	standIns []swap.StandIn) error {
	var err error
	if c.Bool("json") {
		err = env.json(document)
	} else {
		err = env.blocks(blocks, env.screen(c), c.Bool("header"))
	}
	for _, s := range standIns {
		if s.Verdict != swap.SwapRefused {
			return err
		}
	}
	if err == nil {
		return nothingFeasible("nothing on hand will do in its place")
	}
	return err
}

// wantedFromCall reads --kind and --need, and tells how bare numbers were read.
func wantedFromCall(c *cli.Context, s swapFlags) (kind catalog.Kind, wanted []swap.Wanted,
	said []string, err error) {
	for _, f := range append(append(s.target.flags(), s.pick.flags()...),
		&cli.StringFlag{Name: "role"}, &cli.StringFlag{Name: "lot"}) {
		if name := f.Names()[0]; c.IsSet(name) {
			return "", nil, nil, wrongCall("--"+name, "",
				"a part outside any build has none; leave it or --kind and --need away")
		}
	}
	words := strings.Fields(strings.Join(*s.needs, " "))
	switch {
	case !c.IsSet("kind"):
		return "", nil, nil, wrongCall("--kind", "",
			"missing; say what kind of part is needed").try("sparewright help kinds")
	case len(words) == 0:
		return "", nil, nil, wrongCall("--need", "",
			"missing; say what it must bear, such as \"reverse>=60V average>=3A\"")
	}
	if kind, err = parseKind(c.String("kind")); err != nil {
		return "", nil, nil, err
	}
	for _, word := range words {
		w, told, err := parseWanted(kind, word, dielectricIn(words))
		if err != nil {
			return "", nil, nil, wrongCall("--need", word,
				err.Error()).try("sparewright help " + string(kind))
		}
		for _, o := range wanted {
			if o.Field == w.Field {
				return "", nil, nil, wrongCall("--need", word,
					w.Field+" stands there twice; write a range as "+w.Field+"=LOW-HIGH")
			}
		}
		wanted, said = append(wanted, w), append(said, told...)
	}
	return kind, wanted, said, nil
}

// dielectricIn is the dielectric that the ratings of a capacitor name, which tells how a bare
// capacitance is read.
func dielectricIn(words []string) string {
	for _, w := range words {
		if name, value, found := strings.Cut(w, "="); found &&
			strings.EqualFold(name, "dielectric") {
			return strings.ToLower(value)
		}
	}
	return ""
}

// equalWithin is how near a number must come to one asked for with "=": half a percent, the
// rounding of a printed value.
const equalWithin = 0.005

// parseWanted reads one rating: FIGURE>=VALUE, FIGURE<=VALUE, FIGURE=VALUE, FIGURE=LOW-HIGH or
// FIGURE=WORD. said tells how bare numbers were read.
func parseWanted(k catalog.Kind, text, dielectric string) (w swap.Wanted,
	said []string, err error) {
	at := strings.IndexAny(text, "<>=")
	if at <= 0 {
		return w, nil, errors.New("not a rating; write it as reverse>=60V")
	}
	name, sign, value := text[:at], "=", strings.TrimLeft(text[at:], "<>=")
	if signs := text[at : len(text)-len(value)]; signs == ">=" || signs == "<=" || signs == "=" {
		sign = signs
	} else {
		return w, nil, fmt.Errorf("%s is no comparison; write >=, <= or =", signs)
	}
	f, ok := catalog.FieldNamed(k, name)
	if !ok {
		var known []string
		for _, o := range catalog.Schema(k) {
			known = append(known, o.Name)
		}
		return w, nil, fmt.Errorf("%s has no figure %s%s", k.WithArticle(), name,
			didYouMean("", name, known))
	}
	w.Field = f.Name
	if !f.Numeric {
		w, err = wantedWord(w, f, sign, value)
		return w, nil, err
	}
	low, high, said, err := figureRange(k, f, value, dielectric)
	if err != nil {
		return w, nil, errors.New(withoutEcho(err.Error()))
	}
	w, err = wantedNumber(w, sign, low, high)
	return w, said, err
}

func wantedWord(w swap.Wanted, f catalog.Field, sign, value string) (swap.Wanted, error) {
	if sign != "=" {
		return w, fmt.Errorf("%s is a word; write %s=%s", f.Name, f.Name, value)
	}
	word := &choice{words: f.Words}
	if len(f.Words) == 0 {
		w.Words = []string{value}
		return w, nil
	}
	if err := word.Set(value); err != nil {
		return w, err
	}
	w.Words = []string{word.word}
	return w, nil
}

// wantedNumber sets the ends of a rating. A single value asked for with "=" has both.
func wantedNumber(w swap.Wanted, sign string, low, high float64) (swap.Wanted, error) {
	switch {
	case low != high && sign != "=":
		return w, fmt.Errorf("a range has both ends; write %s=LOW-HIGH", w.Field)
	case low == high && sign == "=":
		low, high = min(low*(1-equalWithin), low*(1+equalWithin)),
			max(low*(1-equalWithin), low*(1+equalWithin))
	}
	if sign != "<=" {
		w.Low = &low
	}
	if sign != ">=" {
		w.High = &high
	}
	return w, nil
}
