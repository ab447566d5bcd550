// Package regulation designs and checks the secondary regulation network of a constant-current,
// constant-voltage charger from the resistors and trimmers really on hand.
//
// The circuit is fixed. A divider brings the output down to the reference voltage; its top leg is a
// resistor network, its bottom leg a resistor network in series with a trimmer wired as rheostat,
// wiper tied to the end, so that an open wiper leaves the whole track in the bottom leg and the
// voltage at its lowest. A second divider takes the level for the current from the reference; its
// trimmer sits in the upper leg, so that an open wiper gives the lowest current. The shunt lies in
// the negative lead to the battery. A resistor from the output feeds the reference. Two amplifiers
// take the optocoupler.
//
// Tolerances are worst case: a figure called worst holds in every corner of every part at once.
// Every quantity computed here is monotone in every part, so the extreme over all corners is found
// exactly by setting each part to the end that pushes the same way; the tests hold this against all
// corners one by one.
//
// A tolerance may be a printed one or the error of the meter that read the part. With printed
// tolerances the limits hold for a charger built blind. A cell of 4.20 V that must never see 4.25 V
// leaves 1.19 % above the set point, and a trimmed network has to fit twice its own error into that
// margin, so a blind build needs parts within about 0.59 % in sum. Where the parts as known do not
// reach that, the design is refused and the Shortfall says what to measure, and how well.
//
// Nothing here reads a file, a clock or a database; results do not depend on the order of the
// input.
package regulation
