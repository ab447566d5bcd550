// Package frame is what every command stands in: the environment of a call, its options and words,
// errors and exit statuses, and how an answer reaches screen, pipe or document. It knows no
// command, opens no drawer file and computes nothing.
package frame
