// Package exchange brings lots in from CSV and out to CSV and JSON. What it writes as CSV it reads
// back as the same lots.
//
// A CSV file has a header line; columns are found by name: kind, designation, count, unit, bin,
// donor, condition, note, figures, measured. Figures are "resistance=4k7; tolerance=1%;
// power=0.25W", readings "resistance=4.683k +-0.2%".
//
// Exported CSV carries no number of its form. released.go knows a row by its text: the header of
// all columns in their order, and figures written to the letter as export writes them now or wrote
// them earlier (tolerance=0.05). Such rows keep the meaning they had; every other row is read by
// package typed, which refuses what has two readings. Change what export writes and the former
// writing joins earlierFigures. testdata/form-*.csv of package sqlite are exports of their time:
// never write them anew.
package exchange
