package main

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"sparewright/catalog/si"
	"sparewright/inventory"
	"sparewright/substitute/plan"
)

// The same wish in every form. The voltages are those of the battery table: 4.2 V a cell, 2.275 V
// on float.
func TestParseWant(t *testing.T) {
	like := newTargetFlags()
	require.NoError(t, like.mains.Set("85-265"))
	for _, row := range []struct {
		text      string
		chemistry string
		cells     int
		current   si.Current
		count     int
		duty      string
	}{
		{"li-ion 4 1A", "li-ion", 4, 1, 1, ""},
		{"li-ion, 4S, 1 A", "", 0, 0, 0, ""}, // "A" is a stray word: the unit belongs to its number
		{"li-ion,4,500mA,x3", "li-ion", 4, 0.5, 3, ""},
		{"  LI-ION\t4s   1  x2", "li-ion", 4, 1, 2, ""},
		{"li-ion 16.8V 1A", "li-ion", 4, 1, 1, ""},
		{"lead-acid-agm 6 500mA float x2", "lead-acid-agm", 6, 0.5, 2, "float"},
		{"lead-acid-agm 6 500mA x2 float", "lead-acid-agm", 6, 0.5, 2, "float"},
	} {
		w, err := parseWant(like, row.text)
		if row.count == 0 {
			require.Error(t, err, row.text)
			continue
		}
		require.NoError(t, err, row.text)
		require.Equal(t, row.count, w.Count, row.text)
		require.Equal(t, []any{row.chemistry, row.cells, row.current, si.Voltage(85)},
			[]any{w.Target.Chemistry, w.Target.Cells, w.Target.Current,
				w.Target.MainsMin}, row.text)
		if row.duty != "" {
			require.Equal(t, row.duty, w.Target.Duty)
		}
	}
}

// Every fault names the word and where it begins, counted in characters from 1.
func TestWantFaultsHaveAPlace(t *testing.T) {
	for text, want := range map[string]wantFault{
		"":                       {"", 1, "write battery, cells and current, such as li-ion 4 1A x2"},
		"li-ion 4":               {"li-ion 4", 1, "write battery, cells and current, such as li-ion 4 1A x2"},
		"li-ion 4 1A x0":         {"x0", 13, "must be from 1 to 50"},
		"li-ion 4 1A xx":         {"xx", 13, "not a whole number; write digits only, such as 1"},
		"li-ion 4 1A x2 x3":      {"x3", 16, "stray word; after the current come only cyclic or float, and xN"},
		"µ-ion 4 1A":             {"µ-ion", 1, ""},
		"li-ion µ 1A":            {"µ", 8, ""},
		"li-ion 4 1W":            {"1W", 10, ""},
		"li-ion 99 1A":           {"99", 8, "must be from 1 to 24"},
		"li-ion 4 1A float":      {"li-ion 4 1A float", 1, ""},
		"li-ion 4 1A anon":       {"anon", 13, "stray word; after the current come only cyclic or float, and xN"},
		"lead-acid-agm 17.7V 1A": {"lead-acid-agm 17.7V 1A", 1, ""},
	} {
		_, err := parseWant(newTargetFlags(), text)
		var fault wantFault
		require.ErrorAs(t, err, &fault, text)
		require.Equal(t, []any{want.word, want.column}, []any{fault.word, fault.column},
			"%s: %v", text, err)
		require.NotEmpty(t, fault.why)
		if want.why != "" {
			require.Equal(t, want.why, fault.why, text)
		}
	}
}

func wishesFrom(content string) ([]plan.Want, error) {
	env := newEnvironment(context.Background(), strings.NewReader(content), &bytes.Buffer{},
		&bytes.Buffer{})
	return env.wantsFromFile(newTargetFlags(), "-")
}

// Lines and JSON say the same; faults name line and column.
func TestWantsFromFile(t *testing.T) {
	lines, err := wishesFrom("# wanted this spring\n\nli-ion,4,1A,x2\r\nlead-acid-agm 6 " +
		"500mA float\n")
	require.NoError(t, err)
	objects, err := wishesFrom(`[{"chemistry": "li-ion", "volts": "16.8", "current": "1A", "count": 2},
		{"chemistry": "lead-acid-agm", "cells": 6, "current": "500mA", "duty": "float"}]`)
	require.NoError(t, err)
	require.Len(t, lines, 2)
	require.Equal(t, lines, objects)
	for content, place := range map[string]inventory.DataError{
		"li-ion 4 1A\nli-ion 4 1B\n":                                     {Line: 2, Column: 10},
		"li-ion 4 1A\n  li-ion 4 1A y2":                                  {Line: 2, Column: 15},
		"[\n  {\"chemistry\": \"li-ion\", \"cells\": 4}\n]":              {Line: 2, Column: 3},
		"[{\"chemistry\": \"li-ion\", \"cells\": 4, \"current\": \"1A\"": {Line: 1},
		"[{\"colour\": \"red\"}]":                                        {Line: 1},
		"[] x":                                                           {Line: 1},
		"[1]":                                                            {Line: 1},
	} {
		_, err := wishesFrom(content)
		var data inventory.DataError
		require.ErrorAs(t, err, &data, content)
		require.Equal(t, place.Line, data.Line, "%s: %v", content, err)
		if place.Column > 0 {
			require.Equal(t, place.Column, data.Column, "%s: %v", content, err)
		}
		require.Equal(t, statusData, statusOf(err))
	}
	_, err = wishesFrom("li-ion 4 \xff")
	require.Equal(t, statusData, statusOf(err))
	_, err = wishesFrom(strings.Repeat("# long\n", 20000))
	require.Equal(t, statusData, statusOf(err))
}
