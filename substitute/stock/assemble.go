package stock

// StopGuess is the feedback current in A that stops a switcher which does not state it; the search takes the same.
const StopGuess = 1e-3
