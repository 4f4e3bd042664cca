package rig

import (
	"fmt"
	"strconv"
	"strings"
)

// ShotSize is one size of split shot on a chart.
type ShotSize struct {
	Name     string // as printed on the box: "SSG", "BB", "8"
	MassG    float64
	Standing string // where the figure comes from
}

// Chart is a table of shot sizes. There is no standard of shot sizes and charts
// differ by up to a quarter, so a chart is chosen by the club and charts are
// never averaged or filled from one another.
type Chart struct {
	Name  string
	Sizes []ShotSize // heaviest first
}

// Standings of the figures on the charts.
const (
	fromMemory = "from memory, not looked up"
	oldCounts  = "28.35 g over the old count of pellets to the ounce, count from memory"
	published  = "28.35 g over pellets to the ounce, Clay Shooting, 8 January 2020"
	retail     = "Guide to float shotting weights, soartackle.co.uk"
	continent  = "Numeration and marking of fishing tackle (in Russian), 555vip.ru"
)

// ChartRetail is the chart of a shop's guide.
var ChartRetail = Chart{Name: "retail", Sizes: []ShotSize{
	{"SSG", 1.6, retail}, {"AAA", 0.8, retail}, {"AB", 0.6, fromMemory}, {"BB", 0.4, retail},
	{"1", 0.3, retail}, {"3", 0.25, fromMemory}, {"4", 0.2, retail}, {"5", 0.15, fromMemory},
	{"6", 0.1, retail}, {"8", 0.06, retail}, {"9", 0.05, retail}, {"10", 0.04, retail},
	{"11", 0.03, retail}, {"12", 0.02, retail}, {"13", 0.01, retail},
}}

// ChartCounts is the chart of the old counts of pellets to the ounce.
var ChartCounts = Chart{Name: "counts", Sizes: []ShotSize{
	{"SSG", 1.89, oldCounts}, {"AAA", 0.81, oldCounts}, {"AB", 0.6, fromMemory}, {"BB", 0.405, oldCounts},
	{"1", 0.2835, oldCounts}, {"3", 0.2025, oldCounts}, {"4", 0.167, oldCounts}, {"5", 0.129, oldCounts},
	{"6", 0.105, oldCounts}, {"7", 0.083, published}, {"8", 0.063, published}, {"9", 0.049, published},
	{"10", 0.033, oldCounts},
}}

// ChartContinental is a continental table of shot numbers. Its BB is likely a
// misprint for another size; it is kept as printed.
var ChartContinental = Chart{Name: "continental", Sizes: []ShotSize{
	{"SSG", 2.0, continent}, {"AAA", 0.77, continent}, {"BB", 0.51, continent + "; likely mislabelled"},
	{"1", 0.29, continent}, {"3", 0.19, continent}, {"4", 0.16, continent}, {"5", 0.13, continent},
	{"6", 0.11, continent}, {"7", 0.09, continent}, {"8", 0.07, continent}, {"9", 0.055, continent},
	{"10", 0.04, continent}, {"11", 0.03, continent}, {"12", 0.02, continent}, {"13", 0.01, continent},
}}

// Charts are the charts known here, the one StandardKit uses first.
func Charts() []Chart { return []Chart{ChartRetail, ChartCounts, ChartContinental} }

// ChartByName finds a chart by its name; an unknown name is an error that names
// the charts there are.
func ChartByName(name string) (Chart, error) {
	var known []string
	for _, c := range Charts() {
		if c.Name == name {
			return c, nil
		}
		known = append(known, c.Name)
	}
	return Chart{}, fmt.Errorf("chart %q is not known: the charts are %s", name, strings.Join(known, ", "))
}

// Size finds a size by its name, with or without "No." before it.
func (c Chart) Size(name string) (ShotSize, bool) {
	name = strings.TrimSpace(strings.TrimPrefix(name, "No."))
	for _, s := range c.Sizes {
		if s.Name == name {
			return s, true
		}
	}
	return ShotSize{}, false
}

// Label is the size as it is said: "No.8", "BB".
func (s ShotSize) Label() string {
	if _, err := strconv.Atoi(s.Name); err == nil {
		return "No." + s.Name
	}
	return s.Name
}
