package ui

import (
	"encoding/json"
	"reflect"
	"strings"

	"sparewright/catalog/si"
)

// What every document promises is brought about here, for all of them: a list is never null, and a
// figure has the digits it deserves (si.Derived). A field whose tag says figures:"entered" holds,
// all the way down, what a person typed in, what a ledger counts or money; those keep their digits
// (si.Entered).
const (
	digitsTag   = "figures"
	enteredWord = "entered"
)

var marshaler = reflect.TypeFor[json.Marshaler]()

// settled is a copy of v without null lists and with rounded figures. What writes its own JSON
// stays as it is.
func settled(v any) any {
	if v == nil {
		return nil
	}
	return settle(reflect.ValueOf(v), si.Derived).Interface()
}

func settle(v reflect.Value, round func(float64) float64) reflect.Value {
	if v.Type().Implements(marshaler) {
		return v
	}
	switch v.Kind() {
	case reflect.Float64:
		return reflect.ValueOf(round(v.Float())).Convert(v.Type())
	case reflect.Pointer, reflect.Interface:
		return settlePointer(v, round)
	case reflect.Struct:
		return settleStruct(v, round)
	case reflect.Slice:
		if v.Type().Elem().Kind() == reflect.Uint8 {
			return v // a text in the eyes of encoding/json
		}
		out := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
		settleElements(out, v, round)
		return out
	case reflect.Array:
		out := reflect.New(v.Type()).Elem()
		settleElements(out, v, round)
		return out
	case reflect.Map:
		return settleMap(v, round)
	}
	return v
}

func settlePointer(v reflect.Value, round func(float64) float64) reflect.Value {
	if v.IsNil() {
		return v
	}
	inner := settle(v.Elem(), round)
	if v.Kind() == reflect.Interface {
		return inner
	}
	out := reflect.New(v.Type().Elem())
	out.Elem().Set(inner)
	return out
}

func settleElements(out, v reflect.Value, round func(float64) float64) {
	for i := range v.Len() {
		out.Index(i).Set(settle(v.Index(i), round))
	}
}

func settleMap(v reflect.Value, round func(float64) float64) reflect.Value {
	out := reflect.MakeMapWithSize(v.Type(), v.Len())
	for _, key := range v.MapKeys() {
		out.SetMapIndex(key, settle(v.MapIndex(key), round))
	}
	return out
}

func settleStruct(v reflect.Value, round func(float64) float64) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	settleFields(out, round)
	return out
}

// settleFields leaves alone what is not printed. A struct that is left out when it is zero must
// stay zero, lists and all.
func settleFields(v reflect.Value, round func(float64) float64) {
	for i := range v.NumField() {
		f, field := v.Type().Field(i), v.Field(i)
		r := round
		if f.Tag.Get(digitsTag) == enteredWord {
			r = si.Entered
		}
		switch {
		case f.Anonymous && field.Kind() == reflect.Struct && !field.Type().Implements(marshaler):
			settleFields(field, r)
		case !f.IsExported() || f.Tag.Get("json") == "-" || field.IsZero() && omitted(f):
		default:
			field.Set(settle(field, r))
		}
	}
}

// omitted reports whether encoding/json leaves the field out when it is zero.
func omitted(f reflect.StructField) bool {
	_, options, _ := strings.Cut(f.Tag.Get("json"), ",")
	return options != ""
}
