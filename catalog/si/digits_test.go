package si_test

import (
	"math"
	"math/big"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"sparewright/catalog/si"
)

// Rounding again changes nothing, and what is rounded lies within half a unit of its last digit;
// the unit is worked out here in whole numbers from the power of ten of the first digit.
func TestDigitsAreRoundedOnceAndToTheNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(1, 10).Draw(t, "figure") *
			math.Pow(10, float64(rapid.IntRange(-15, 15).Draw(t, "power")))
		if rapid.Bool().Draw(t, "negative") {
			v = -v
		}
		for digits, round := range map[int]func(float64) float64{6: si.Derived, 15: si.Entered} {
			got := round(v)
			require.Equal(t, got, round(got), "once more")
			require.Equal(t, -got, round(-v), "the other sign")
			require.LessOrEqual(t, len(mantissa(got)), digits)
			unit := lastUnit(v, digits)
			off := new(big.Rat).Sub(new(big.Rat).SetFloat64(got), new(big.Rat).SetFloat64(v))
			// a float64 is good for one part in 2^53; twice that is what writing the result down
			// may add
			slack := new(big.Rat).Mul(new(big.Rat).SetFloat64(math.Abs(v)), big.NewRat(1, 1<<52))
			most := new(big.Rat).Add(new(big.Rat).Mul(unit, big.NewRat(1, 2)), slack)
			require.LessOrEqual(t, off.Abs(off).Cmp(most), 0, "%v became %v", v, got)
		}
	})
}

// mantissa are the digits of a number as JSON prints it, without noughts at either end.
func mantissa(v float64) string {
	text := strconv.FormatFloat(math.Abs(v), 'e', -1, 64)
	out := ""
	for _, r := range text {
		if r == 'e' {
			break
		}
		if r != '.' {
			out += string(r)
		}
	}
	return out
}

// lastUnit is the worth of the last of so many digits.
func lastUnit(v float64, digits int) *big.Rat {
	size := new(big.Rat).SetFloat64(math.Abs(v))
	unit := big.NewRat(1, 1)
	ten, tenth := big.NewRat(10, 1), big.NewRat(1, 10)
	for size.Cmp(ten) >= 0 {
		size.Mul(size, tenth)
		unit.Mul(unit, ten)
	}
	for size.Cmp(big.NewRat(1, 1)) < 0 {
		size.Mul(size, ten)
		unit.Mul(unit, tenth)
	}
	for range digits - 1 {
		unit.Mul(unit, tenth)
	}
	return unit
}

func TestDigitsOfWhatIsNoFigure(t *testing.T) {
	for _, v := range []float64{0, math.Inf(1), math.Inf(-1), math.MaxFloat64} {
		require.Equal(t, v, si.Entered(v))
	}
	require.True(t, math.IsNaN(si.Derived(math.NaN())))
	require.Equal(t, 0.312, si.Derived(0.31200000000000006))
}

// Whatever was typed with up to fifteen digits comes back as typed, whatever prefix it had.
func TestEnteredIsAsTyped(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		number := strconv.FormatFloat(float64(
			rapid.Int64Range(1, 999_999_999_999_999).Draw(t, "digits"))/1e6, 'f', -1, 64)
		prefix := rapid.SampledFrom([]string{"n", "u", "m", "", "k", "M"}).Draw(t, "prefix")
		power := map[string]string{"n": "e-9", "u": "e-6", "m": "e-3", "": "", "k": "e3",
			"M": "e6"}[prefix]
		read, err := si.Parse[si.Inductance](number + prefix + "H")
		if err != nil {
			return // outside what Parse takes
		}
		want, err := strconv.ParseFloat(number+power, 64)
		require.NoError(t, err)
		require.Equal(t, want, si.Entered(float64(read)))
	})
}
