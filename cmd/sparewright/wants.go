package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"

	"sparewright/inventory"
	"sparewright/substitute/plan"
)

// mostWants is how many chargers one plan takes.
const mostWants = 50

// wantFault says which word of a wish is wrong.
type wantFault struct {
	word   string
	column int // characters from 1
	why    string
}

func (f wantFault) Error() string { return fmt.Sprintf("word %q: %s", f.word, f.why) }

// wantWord is one word of a wish and where it begins.
type wantWord struct {
	text   string
	column int
}

// splitWant takes a wish apart at blanks and commas.
func splitWant(text string) []wantWord {
	var out []wantWord
	begin, column := -1, 0
	cut := func(end int) {
		if begin >= 0 {
			out = append(out, wantWord{text[begin:end], column})
			begin = -1
		}
	}
	for i, r := range text {
		if r == ' ' || r == '\t' || r == ',' || r == '\r' {
			cut(i)
		} else if begin < 0 {
			begin, column = i, utf8.RuneCountInString(text[:i])+1
		}
	}
	cut(len(text))
	return out
}

// parseWant reads one wish under the conditions of like: CHEMISTRY CELLS CURRENT, then cyclic or
// float and xN in any order. CELLS is a number, 4S, or the charge voltage such as 16.8V.
func parseWant(like *targetFlags, text string) (plan.Want, error) {
	words := splitWant(text)
	if len(words) < 3 {
		return plan.Want{}, wantFault{text, 1,
			"write battery, cells and current, such as li-ion 4 1A x2"}
	}
	t := *newTargetFlags()
	t.mains, t.line, t.enclosure, t.ambient, t.box = like.mains, like.line, like.enclosure,
		like.ambient, like.box
	want := plan.Want{Count: 1}
	set := func(w wantWord, value interface{ Set(string) error }, text string) error {
		if err := value.Set(text); err != nil {
			return wantFault{w.text, w.column, withoutEcho(err.Error())}
		}
		return nil
	}
	cells := words[1].text
	var err error
	switch last := strings.ToLower(cells[len(cells)-1:]); {
	case last == "v":
		err = set(words[1], t.volts, cells)
	case last == "s":
		err = set(words[1], t.cells, cells[:len(cells)-1])
	default:
		err = set(words[1], t.cells, cells)
	}
	for _, e := range []error{set(words[0], t.chemistry, words[0].text), err,
		set(words[2], t.current, words[2].text)} {
		if e != nil {
			return want, e
		}
	}
	counted := false
	for _, w := range words[3:] {
		number, isCount := strings.CutPrefix(strings.ToLower(w.text), "x")
		switch {
		case slices.Contains(dutyWords, strings.ToLower(w.text)) && !t.duty.given():
			err = set(w, t.duty, w.text)
		case isCount && !counted:
			counted = true
			if want.Count, err = wholeNumber(number, 1, mostWants); err != nil {
				err = wantFault{w.text, w.column, err.Error()}
			}
		default:
			err = wantFault{w.text, w.column,
				"stray word; after the current come only cyclic or float, and xN"}
		}
		if err != nil {
			return want, err
		}
	}
	want.Target, err = t.target()
	var p *problem
	if errors.As(err, &p) {
		return want, wantFault{text, 1, strings.TrimPrefix(p.what+": "+p.why, ": ")}
	}
	return want, err
}

// wantsFromCall reads every --want.
func wantsFromCall(like *targetFlags, all texts) ([]plan.Want, error) {
	var out []plan.Want
	for _, text := range all {
		w, err := parseWant(like, text)
		var fault wantFault
		if errors.As(err, &fault) {
			return nil, wrongCall("--want", text,
				fmt.Sprintf("character %d: %s", fault.column, fault)).try("sparewright help plan")
		}
		if err != nil {
			return nil, err
		}
		out = append(out, w)
	}
	return out, nil
}

// wantJSON is one wish of a JSON file. Each value is a text or a number.
type wantJSON struct {
	chemistry, cells, volts, current, duty, count string
}

// set puts the text of a field in its place; why says what is wrong, "" for nothing.
func (w *wantJSON) set(name string, value json.RawMessage) (why string) {
	field, ok := map[string]*string{"chemistry": &w.chemistry, "cells": &w.cells, "volts": &w.volts,
		"current": &w.current,
		"duty":    &w.duty, "count": &w.count}[name]
	if !ok {
		return "unknown field " + quoted(name) +
			didYouMean("", name, []string{"chemistry", "cells", "volts", "current",
				"duty", "count"})
	}
	if *field != "" {
		return name + " stands there twice; keep one"
	}
	text := strings.TrimSpace(string(value))
	switch {
	case strings.HasPrefix(text, `"`):
		if err := json.Unmarshal(value, field); err != nil {
			return name + ": not a text"
		}
		if strings.TrimSpace(*field) == "" {
			return name + " is empty; leave it out or give a value"
		}
		if strings.Contains(*field, ",") {
			return name + ": decimal comma; write " + strings.Replace(*field, ",", ".", 1)
		}
		*field = strings.Join(strings.Fields(*field), "")
	case text != "" && (text[0] == '-' || text[0] >= '0' && text[0] <= '9'):
		*field = text
	default:
		return name + " must be a number or a text such as \"1A\""
	}
	return ""
}

// wantsFromFile reads a file of wishes: one a line, or a JSON list of objects. A name of - is
// standard input.
func (env *environment) wantsFromFile(like *targetFlags, name string) ([]plan.Want, error) {
	raw, err := env.readWants(name)
	if err != nil {
		return nil, badData("wants", name, plainReason(err))
	}
	if !utf8.Valid(raw) {
		return nil, badData("wants", name, "not valid UTF-8; save the text as UTF-8")
	}
	if strings.HasPrefix(strings.TrimSpace(string(raw)), "[") {
		return wantsFromJSON(like, name, raw)
	}
	var out []plan.Want
	for i, line := range strings.Split(string(raw), "\n") {
		if text := strings.TrimSpace(line); text == "" || strings.HasPrefix(text, "#") {
			continue
		}
		w, err := parseWant(like, line)
		var fault wantFault
		switch {
		case errors.As(err, &fault):
			return nil, inventory.DataError{File: name, Line: i + 1, Column: fault.column,
				Msg: fault.Error()}
		case err != nil:
			return nil, err
		}
		out = append(out, w)
	}
	return out, nil
}

// mostOfWants bounds a file of wishes, in bytes.
const mostOfWants = 1 << 16

func (env *environment) readWants(name string) ([]byte, error) {
	in := env.stdin
	if name != "-" {
		f, err := openPlain(name)
		if err != nil {
			return nil, err
		}
		defer f.Close()
		in = f
	}
	raw, err := io.ReadAll(io.LimitReader(in, mostOfWants+1))
	if err == nil && len(raw) > mostOfWants {
		err = fmt.Errorf("longer than %d bytes", mostOfWants)
	}
	return raw, err
}

func wantsFromJSON(like *targetFlags, name string, raw []byte) ([]plan.Want, error) {
	d := json.NewDecoder(strings.NewReader(string(raw)))
	d.DisallowUnknownFields()
	if _, err := d.Token(); err != nil { // the opening bracket
		return nil, badJSON(name, raw, d, err)
	}
	var out []plan.Want
	for d.More() {
		begin := d.InputOffset()
		w, why, at, err := wantOf(d)
		if err != nil {
			return nil, badJSON(name, raw, d, err)
		}
		if why != "" {
			line, column := position(raw, at)
			return nil, inventory.DataError{File: name, Line: line, Column: column, Msg: why}
		}
		want, err := parseWant(like, w.words())
		var fault wantFault
		if errors.As(err, &fault) {
			line, column := position(raw,
				begin+int64(len(raw[begin:])-
					len(strings.TrimLeft(string(raw[begin:]), " \t\r\n,"))))
			return nil, inventory.DataError{File: name, Line: line, Column: column,
				Msg: fault.Error()}
		}
		if err != nil {
			return nil, err
		}
		out = append(out, want)
	}
	if _, err := d.Token(); err != nil {
		return nil, badJSON(name, raw, d, err)
	}
	if strings.TrimSpace(string(raw[d.InputOffset():])) != "" {
		return nil, badJSON(name, raw, d, errors.New("something stands behind the list"))
	}
	return out, nil
}

// wantOf reads one object field by field, so that a field that stands there twice is seen. why says
// what is wrong with a field, at is where.
func wantOf(d *json.Decoder) (w wantJSON, why string, at int64, err error) {
	open, err := d.Token()
	if err != nil {
		return w, "", 0, err
	}
	if open != json.Delim('{') {
		return w, "a wanted charger is an object, such as {\"chemistry\": \"li-ion\", \"cells\": " +
			"4, \"current\": \"1A\"}", d.InputOffset(), nil
	}
	for d.More() {
		name, err := d.Token()
		if err != nil {
			return w, "", 0, err
		}
		at = d.InputOffset()
		var value json.RawMessage
		if err := d.Decode(&value); err != nil {
			return w, "", 0, err
		}
		if why = w.set(strings.ToLower(name.(string)), value); why != "" {
			return w, why, at, nil
		}
	}
	if w.cells != "" && w.volts != "" {
		return w, "cells and volts both say the voltage; keep one", at, nil
	}
	_, err = d.Token()
	return w, "", 0, err
}

// words writes an object as the words of a line.
func (w wantJSON) words() string {
	cells := w.cells
	if w.volts != "" && cells == "" {
		if cells = w.volts; !strings.HasSuffix(strings.ToLower(cells), "v") {
			cells += "V"
		}
	}
	text := strings.Join([]string{or(w.chemistry, "?"), or(cells, "?"), or(w.current, "?")}, " ")
	if w.duty != "" {
		text += " " + w.duty
	}
	if w.count != "" {
		text += " x" + w.count
	}
	return text
}

func badJSON(name string, raw []byte, d *json.Decoder, err error) error {
	at := d.InputOffset()
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		at = syntax.Offset
	}
	line, column := position(raw, at)
	return inventory.DataError{File: name, Line: line, Column: column,
		Msg: "no list of wanted chargers: " + strings.TrimPrefix(err.Error(), "json: ")}
}

// position turns an offset into line and column, both from 1.
func position(raw []byte, offset int64) (line, column int) {
	before := string(raw[:min(int(offset), len(raw))])
	line = strings.Count(before, "\n") + 1
	return line, utf8.RuneCountInString(before[strings.LastIndex(before, "\n")+1:]) + 1
}
