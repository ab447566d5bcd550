// Package find has the commands that ask what can be built, bought, exchanged and corrected. Each
// hands a snapshot and a target to a package of substitute and lays out what it answers.
package find
