package regulation

import (
	"cmp"
	"slices"

	"sparewright/catalog/si"
	"sparewright/substitute/regulation/resistors"
)

// LiveSpec is what keeps the current regulation alive while the output sags.
type LiveSpec struct {
	AmplifierMin si.Voltage // least supply of the amplifier
	// HighestInput is the voltage the current amplifier looks at, and InputHeadroom how far its
	// inputs must stay below its supply (1.5 V at 25 degC, 2 V over the range for an LM358: TI
	// SLOS068P).
	HighestInput, InputHeadroom si.Voltage
	LED                         LEDSpec
	LEDResistor                 resistors.Network
	Bias                        BiasSpec
	BiasResistor                resistors.Network
}

// Floor is one demand on the output voltage.
type Floor struct {
	Name   string
	Output si.Voltage
}

// Floors lists every demand on the output for current regulation to live, the highest first, in
// worst corners: the amplifier's supply, its input range, the LED with its resistor at the current
// it needs, and the reference with its least cathode current through the bias resistor. Kirchhoff's
// voltage law along each path. The voltages are those of the output against the control ground;
// with that ground on the converter side the battery sees less by the shunt drop.
func Floors(s LiveSpec) []Floor {
	end := s.LED.OutputLow
	if s.LED.Drive == DriveUp {
		end = s.LED.OutputDrop
	}
	floors := []Floor{
		{"amplifier supply", s.AmplifierMin},
		{"amplifier input range", s.HighestInput + s.InputHeadroom},
		{"optocoupler LED", s.LED.Forward + s.LED.Diode + end +
			drop(s.LED.Need, s.LEDResistor.High)},
		{"reference bias", s.Bias.Vref + drop(s.Bias.CathodeMin+s.Bias.Draw, s.BiasResistor.High)},
	}
	slices.SortStableFunc(floors, func(a, b Floor) int { return cmp.Compare(b.Output, a.Output) })
	return floors
}

// LowestRegulated is the lowest output voltage at which current regulation still lives: the highest
// of Floors.
func LowestRegulated(s LiveSpec) si.Voltage { return Floors(s)[0].Output }

func drop(i si.Current, r si.Resistance) si.Voltage { return si.Voltage(float64(i) * float64(r)) }
