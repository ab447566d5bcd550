// Package guide explains the program: topics of its help, kinds of parts, and what a shell may
// complete.
package guide
