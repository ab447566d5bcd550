// Package drawer opens the drawer file a call is about, and writes and reads figures of lots as
// every command does.
package drawer
