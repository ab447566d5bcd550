package ui

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"unicode/utf16"
	"unicode/utf8"
)

// FormatNumber is the version of the documents. It grows when a field changes its meaning or goes;
// fields that are added leave it as it is.
const FormatNumber = 2

// Numbered returns the document v, which must be a JSON object, with the field schema in front: the
// version of its form.
func Numbered(v any) any { return numbered{settled(v)} }

type numbered struct{ document any }

// MarshalJSON puts the version in front of the fields of the document.
func (n numbered) MarshalJSON() ([]byte, error) {
	var raw bytes.Buffer
	enc := json.NewEncoder(&raw)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(n.document); err != nil {
		return nil, err
	}
	fields, ok := bytes.CutPrefix(bytes.TrimSpace(raw.Bytes()), []byte("{"))
	if !ok {
		return nil, errors.New("only an object can carry a version")
	}
	opening := fmt.Sprintf(`{"schema":%d`, FormatNumber)
	if !bytes.HasPrefix(fields, []byte("}")) {
		opening += ","
	}
	return append([]byte(opening), fields...), nil
}

// WriteJSON prints v as one indented JSON document with a final line break. Characters that do not
// show or that turn the direction of writing leave as \u escapes, so that the document is harmless
// on a terminal and means the same to a reader; <, > and & stay as they are. No list is null and
// every figure has the digits it deserves; see settled. The error names a value that JSON cannot
// hold (NaN, infinity), or is that of the writer.
func WriteJSON(w io.Writer, v any) error {
	var raw bytes.Buffer
	enc := json.NewEncoder(&raw)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(settled(v)); err != nil {
		return fmt.Errorf("json document: %w", err)
	}
	_, err := w.Write(escapeDeceptive(raw.Bytes()))
	return err
}

// escapeDeceptive rewrites an encoded document. Outside strings JSON holds printable ASCII and line
// breaks only, so every other rune stands inside a string, where the escape is allowed.
func escapeDeceptive(doc []byte) []byte {
	out := make([]byte, 0, len(doc))
	for i := 0; i < len(doc); {
		r, size := utf8.DecodeRune(doc[i:])
		switch {
		case r == '\n' || !deceptive(r):
			out = append(out, doc[i:i+size]...)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			out = fmt.Appendf(out, `\u%04x\u%04x`, high, low)
		default:
			out = fmt.Appendf(out, `\u%04x`, r)
		}
		i += size
	}
	return out
}
