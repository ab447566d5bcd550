// Package catalog says what a part is: its kinds, the figures of each kind, when they make sense,
// and what the published tables know about parts met in dead adapters.
//
// A new kind is added in kinds.go: a struct embedding Named whose fields are Datum figures or
// words, with field, range, one and doc tags, and a Kind method; then one entry in prototypes
// (schema.go) and a Validate method (validate.go). Columns of tables and exchange files, rows of
// the drawer file, the words typed by the user and the checks of single figures follow from the
// tags. If the kind has a published table, a file in data and one line in tables.go make it known.
//
// A new source is added as rows of the table it belongs to in data/*.tsv: the document in column
// source, the page or table in column where, provenance remarks in column note. A figure read in
// the document is written as it stands, a figure from memory or scaled from a sister part carries a
// leading ~, a cautious stand-in a leading ?. Where makers differ the rows stand side by side under
// their makers' names, and the test that holds collections against each other lists the difference.
package catalog
