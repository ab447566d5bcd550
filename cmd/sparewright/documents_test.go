package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"sparewright/cmd/sparewright/internal/ui"
)

// projectFolder is the top of the project; tests that change the folder ask for it before.
func projectFolder(t *testing.T) string {
	t.Helper()
	dir, err := filepath.Abs(filepath.Join("..", ".."))
	require.NoError(t, err)
	return dir
}

// Every command with --json prints one document that keeps its schema, whose first field is the
// number of the form and whose fields at the top are all described. The schema asks for that
// number, so that no document goes without.
func TestDocumentOfEveryCommand(t *testing.T) {
	everyTrial(t, func(t *testing.T, name string, tr trial) {
		if tr.schema == "" {
			return
		}
		forms := map[string][]string{tr.schema: tr.document(name)}
		for form, words := range tr.also {
			forms[form] = append([]string{name, "--json"}, words...)
		}
		for form, words := range forms {
			check := schema(t, form)
			trialFolder(t, tr)
			got := tr.call(words...)
			require.Equal(t, tr.status, got.status, got.stderr)
			requireDocument(t, form, check, got.stdout)
		}
	})
}

// requireDocument holds a document against its schema.
func requireDocument(t *testing.T, form string, check *jsonschema.Schema, text string) {
	t.Helper()
	doc := document(t, text).(map[string]any)
	require.NoError(t, check.Validate(doc), form)
	opening := fmt.Sprintf("{\n  \"schema\": %d", ui.FormatNumber)
	require.True(t, strings.HasPrefix(text, opening), "the number of the form comes first")
	described := fieldsOf(check, map[string]bool{})
	for field := range doc {
		require.True(t, described[field],
			"testdata/schema/%s.json does not describe %s", form, field)
	}
	delete(doc, "schema")
	require.Error(t, check.Validate(doc),
		"testdata/schema/%s.json: write \"schema\": {\"const\": 1} into its "+
			"properties and \"schema\" into its required fields", form)
}

// fieldsOf are the fields a schema describes at the top, with those of the pieces it is made of.
func fieldsOf(s *jsonschema.Schema, into map[string]bool) map[string]bool {
	for name := range s.Properties {
		into[name] = true
	}
	for _, piece := range slices.Concat(s.AllOf, s.AnyOf, s.OneOf, []*jsonschema.Schema{s.Ref}) {
		if piece != nil {
			fieldsOf(piece, into)
		}
	}
	return into
}

// Every file of testdata/schema describes a document of a command or a piece that such a file
// refers to.
func TestNoSchemaIsLeftOver(t *testing.T) {
	used := map[string]bool{}
	for _, tr := range trials {
		used[tr.schema+".json"] = true
		for name := range tr.also {
			used[name+".json"] = true
		}
	}
	files, err := filepath.Glob(filepath.Join("..", "..", "testdata", "schema", "*.json"))
	require.NoError(t, err)
	for _, f := range files {
		text, err := os.ReadFile(f)
		require.NoError(t, err)
		for _, m := range regexp.MustCompile(`"\$ref": "(\w+\.json)`).FindAllStringSubmatch(
			string(text), -1) {
			used[m[1]] = true
		}
	}
	for _, f := range files {
		require.True(t, used[filepath.Base(f)], "%s: no command of trials prints it", f)
	}
}
