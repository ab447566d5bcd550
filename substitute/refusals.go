package substitute

// Names of checks that have no number.
const (
	CheckSwitcherKind    = "kind of control"
	CheckSwitcherFigures = "switcher figures"
	CheckBarrier         = "insulation barrier between mains and battery"
	CheckTape            = "insulating tape"
	CheckWindingWindow   = "winding window"
	CheckNoSwitcher      = "a switcher"
	CheckNoCore          = "a core pair"
)
