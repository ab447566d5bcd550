package control

// Practice of what a pack does to the output when it is put on. Sources beside the figures.
const (
	leadLeast = 30e-3 // ohm of leads, plug and fuse, short ones; 30 to 60 mohm, from memory
	// A towards an input below ground: half of the 50 mA of the LM358 (from memory), its clamp
	// diode left out
	inputBears = 25e-3
	// s x the rating, what a film resistor bears as a pulse of a millisecond; pulse curves of 1 to
	// 3 W parts, from memory
	OverloadFilm = 0.1
	OverloadWire = 1.0 // s x the rating, the same of wire and metal strip; from memory
	// A2s for a squared ampere of a time-lag fuse: twice what makers of 5 x 20 mm fuses state, from
	// memory
	FuseThrough  = 10.0
	FuseFast     = 1.0   // the same of a fast one, from memory
	ReversedDrop = 1.2   // V over a diode that carries a reversed pack, from memory
	WindingGuess = 20e-3 // ohm of a secondary with its rectifier, from memory
	// V the wrong way round for less than a second that an electrolytic bears (1 V steady; from
	// memory)
	ElectrolyteLow = 1.5
	// A out of the cathode of a shunt reference: the TL431 is rated for -100 mA, from memory
	CathodeBack = 0.1
)
