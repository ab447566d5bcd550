// Package bench has the commands that read what is printed on parts: put, which logs one lot,
// bench, which logs a line a lot, import, which logs a table, and decode.
package bench
