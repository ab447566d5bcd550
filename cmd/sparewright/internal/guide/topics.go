package guide

import (
	"fmt"
	"strings"

	"sparewright/cmd/sparewright/internal/find"
	"sparewright/cmd/sparewright/internal/frame"
	"sparewright/cmd/sparewright/internal/ui"
)

// topics are the texts of help that belong to no single command.
var topics = []struct {
	name string
	text func() string
}{
	{"units", unitsTopic},
	{"targets", targetsTopic},
	{"kinds", kindsTopic},
	{"prices", pricesTopic},
	{"environment", environmentTopic},
	{"exit-codes", frame.ExitCodesTopic},
}

// TopicNames lists the topics of help in order.
func TopicNames() []string {
	names := make([]string, len(topics))
	for i, t := range topics {
		names[i] = t.name
	}
	return names
}

func unitsTopic() string {
	return ui.Wrap(`How numbers are written, on the command line and in files:

  4.7k   4k7   4.7 kohm          a prefix, or a letter in place of the point
  4R7    0R22  R22               R stands for the point without a prefix
  100n   100 nF   4n7            capacitors and inductors likewise
  0.4A   400mA   132kHz   0.3mm  the unit may follow, with or without a space
  5%     250ppm                  ratios and tolerances
  85-265   85..265V   1-10k      ranges; a unit or prefix counts for both ends
  1e-9                           exponents, without a prefix

A number without a unit is read as the trade prints it, and that is said: wire and core lengths in mm, films
in um, tolerances and current transfer ratios in %, electrolytics in uF, chokes in mH or uH, a spool in g, else
ohm, H, V, A, W, Hz, K (sparewright help KIND names the unit of each figure). What has two likely readings is
refused with both: 472 on a resistor is 472R or 4k7, 0.1 for a tolerance 0.1% or 10%.

The prefixes are p n u m k M G; u and the micro sign are the same, and so are ohm and the sign for it. M is mega
and m is milli, always: 4M7 is 4.7 million, 100m is a tenth. E may be the point of an old mark (4E7) or an
exponent and is asked back on resistors.

The point is the decimal sign. A comma is refused, because it is read differently in different countries.

A figure typed with ~ before it (~0.45A) counts as estimated, with ? as assumed; others count as published.
Estimated and assumed figures widen the limits computed from them.
`, frame.HelpWidth, 0)
}

func targetsTopic() string {
	return ui.Wrap(fmt.Sprintf(`The wanted charger is described with the same options everywhere:

  --chemistry WORD  what is to be charged, one of
                    %s
                    %s
  --cells N         cells in series; or --volts V for the charge voltage
  --current A       charge current, 1A or 500mA
  --mains RANGE     mains voltage, rms (195-265)
  --line HZ         lowest mains frequency (50)
  --case WORD       sealed, vented or open (sealed)
  --ambient C       air around the case (35)
  --box SIZE        outer size of the case in mm, such as 90x60x40
  --duty WORD       lead-acid only: cyclic or float

What a pack is called does not tell its chemistry: 14.4 V may be four Li-ion cells or twelve NiMH cells. NiMH
and NiCd are refused for a plain CC/CV charger, because their voltage falls when they are full and such a
charger never ends.
`, strings.Join(find.ChemistryWords[:4], ", "), strings.Join(find.ChemistryWords[4:], ", ")),
		frame.HelpWidth, 0)
}

func pricesTopic() string {
	return ui.Wrap(`shop --prices FILE reads what parts cost you from a CSV file. All figures are yours; the program
asks nobody and knows no currency. The first line names the columns, in any order; the last three may be missing:

  designation  the part as the shopping list writes it, or * for every part
               that has no row of its own
  price        of one piece, or of one metre of wire or tape: 0.35
  source       where; empty if it does not matter. The same part may stand
               there once for each source
  postage      of the source, once for each purchase
  minimum      of the source: parts for less are charged as that much

  designation,price,source,postage,minimum
  ETD34/17/11 N87,2.80,post shop,3.50,
  ETD34/17/11 N87,4.20,corner shop,,
  SB5100,0.60,post shop,,
  ,,corner shop,,5

Postage and minimum need to be said once for a source, on any row, or on a row of their own without a part. Prices
have at most four digits behind the point. Parts that the tables know (switchers, cores in N87, rectifiers, wires,
amplifiers, optocouplers) are tried when your list names them, besides the usual ones. A part without a price stands apart at
the end of the list and is in no sum; among lists it counts as 1. Names that are no part the program knows are told.

The cheapest purchase is exact over the builds that were gathered: each line is bought at one source, every source
used adds its postage and tops up to its minimum order.
`, frame.HelpWidth, 0)
}

func environmentTopic() string {
	return ui.Wrap(`Variables the program reads:

  SPAREWRIGHT_DRAWERS  the drawer file, when --drawers does not name one
  XDG_DATA_HOME        where the drawer file lies otherwise: sparewright/drawers.db
                       in it, or in ~/.local/share when it is not set
                       (macOS: ~/Library/Application Support/sparewright,
                       Windows: %LocalAppData%\sparewright)
  NO_COLOR             when not empty: no colour, unless --color=always
  CLICOLOR_FORCE       when neither empty nor 0: colour also in a pipe
  TERM                 dumb: no colour
  COLUMNS              width of tables on a terminal, before the width it reports

On a terminal, tables are aligned and long names shortened in the middle, numbers never. Elsewhere every row
is one line of full values separated by tabs, without a header unless --header is given.
`, frame.HelpWidth, 0)
}
