// Package keep has the commands that keep the drawer: what comes in, what goes out, what is in it,
// what was changed, and its copies.
package keep
