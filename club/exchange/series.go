package exchange

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// series is a row of whole numbers as text: each one's difference from the one before,
// with a space between.
type series string

func seriesOf(n int, at func(int) int64) series {
	var out []byte
	last := int64(0)
	for i := range n {
		v := at(i)
		out = append(strconv.AppendInt(out, v-last, 10), ' ')
		last = v
	}
	return series(strings.TrimSuffix(string(out), " "))
}

// numbers reads it.
func (s series) numbers() ([]int64, error) {
	if s == "" {
		return nil, nil
	}
	out := make([]int64, 0, strings.Count(string(s), " ")+1)
	last := int64(0)
	for word := range strings.SplitSeq(string(s), " ") {
		d, err := strconv.ParseInt(word, 10, 64)
		if err != nil {
			return nil, notNumber(word)
		}
		last += d
		out = append(out, last)
	}
	return out, nil
}

func notNumber(word string) error {
	return fmt.Errorf("exchange: a saved venue: %.20q is no number", word)
}

// sixtieths: the mean of up to six readings of whole millimetres, and of ten, twelve or
// sixty, is a whole number of them.
const sixtieths = 60

// meansOf is means of whole millimetres as text: each one's difference from the one before
// in sixtieths; or one that is not whole, itself after a sign of its own.
func meansOf(n int, at func(int) float32) string {
	var out []byte
	last := int64(0)
	for i := range n {
		v := at(i)
		k := int64(math.Round(float64(v) * sixtieths))
		if float32(float64(k)/sixtieths) == v {
			out = strconv.AppendInt(out, k-last, 10)
		} else {
			out = strconv.AppendFloat(append(out, '='), float64(v), 'g', -1, 32)
		}
		out, last = append(out, ' '), k
	}
	return strings.TrimSuffix(string(out), " ")
}

// meansIn reads them.
func meansIn(text string) ([]float32, error) {
	if text == "" {
		return nil, nil
	}
	out := make([]float32, 0, strings.Count(text, " ")+1)
	last := int64(0)
	for word := range strings.SplitSeq(text, " ") {
		if exact, ok := strings.CutPrefix(word, "="); ok {
			v, err := strconv.ParseFloat(exact, 32)
			if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
				return nil, notNumber(word)
			}
			out, last = append(out, float32(v)), int64(math.Round(v*sixtieths))
			continue
		}
		d, err := strconv.ParseInt(word, 10, 64)
		if err != nil {
			return nil, notNumber(word)
		}
		last += d
		out = append(out, float32(float64(last)/sixtieths))
	}
	return out, nil
}
