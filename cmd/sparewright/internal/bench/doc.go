// Package bench has the commands that read what is printed on parts and written at the bench: put,
// which logs one lot, bench, which logs a line a lot, and decode.
package bench
