// Package identify has the command that works out an unknown core, gap, wire or film from readings,
// and the option that takes a reading with its error.
package identify
