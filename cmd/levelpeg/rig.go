package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"
	"text/tabwriter"

	"github.com/alecthomas/kong"

	"levelpeg/club/exchange"
	"levelpeg/rig"
)

// rigCmd asks the rig calculation without a server or a book.
type rigCmd struct {
	Depth     float64 `help:"Depth, metres." required:"" placeholder:"M"`
	Pace      float64 `help:"Pace of the surface, m/s." required:"" placeholder:"MPS"`
	DepthLow  float64 `help:"Least it may be deep, where that is not sure." placeholder:"M"`
	DepthHigh float64 `help:"Most it may be deep." placeholder:"M"`
	PaceLow   float64 `help:"Least the pace may be." placeholder:"MPS"`
	PaceHigh  float64 `help:"Most the pace may be." placeholder:"MPS"`
	Boil      int     `help:"How broken the water is, 0 smooth to 3 boily." default:"0"`
	Distance  float64 `help:"How far out the float runs, metres." default:"6"`
	Wind      int     `help:"Wind force, Beaufort." default:"0"`
	WindFrom  string  `help:"Where it blows: ${enum}." enum:"facing,behind,upstream,downstream" default:"facing"`
	Swim      float64 `help:"How long the swim is, metres (default: 15 yards)." placeholder:"M"`
	Snaggy    bool    `help:"A hooked fish can reach roots, boulders or weed."`
	Fish      string  `help:"What is fished for: ${fish}. Without it the pattern says." placeholder:"FISH"`
	Bait      string  `help:"What with: ${baits}. Without it the fish or the pattern says." placeholder:"BAIT"`
	Bigger    bool    `help:"Bigger fish of the kind than usual are about."`
	Nuisance  bool    `help:"Small fish take the bait first."`
	HeldStill bool    `help:"The float is to stand still on a tight line."`
	Junior    bool    `help:"Tied and fished by a child with an adult beside them."`
	Chart     string  `help:"Chart of shot sizes: ${enum}." enum:"retail,counts,continental" default:"retail"`
	Shot      string  `help:"What the shot are made of: ${enum}." enum:"tin,tungsten,lead" default:"tin"`
	Olivette  string  `help:"What the olivettes are made of: ${enum}." enum:"tin,tungsten,lead" default:"tungsten"`
	JSON      bool    `help:"Print JSON, units in the names." name:"json"`
}

// rigVars fill the help of rigCmd.
func rigVars() kong.Vars {
	return kong.Vars{"fish": strings.Join(rig.Fish(), ", "), "baits": strings.Join(rig.Baits(), ", ")}
}

func (c rigCmd) Run(out io.Writer) error {
	kit, err := c.kit()
	if err != nil {
		return err
	}
	rigs, err := rig.Suggest(c.water(), c.aim(), kit)
	var none *rig.NoRigError
	if err != nil && !errors.As(err, &none) {
		return err
	}
	if c.JSON {
		return c.printJSON(out, rigs, none)
	}
	if none != nil {
		_, err := fmt.Fprintln(out, none.Why)
		return err
	}
	for i := range rigs {
		if err := printRig(out, &rigs[i], c.water()); err != nil {
			return err
		}
	}
	_, err = fmt.Fprintln(out, "Local byelaws, the club and the water in front of you go first.")
	return err
}

func (c rigCmd) kit() (rig.Kit, error) {
	k := rig.StandardKit()
	chart, err := rig.ChartByName(c.Chart)
	k.Chart, k.ShotMaterial, k.OlivetteMaterial = chart, rig.Material(c.Shot), rig.Material(c.Olivette)
	return k, err
}

func (c rigCmd) water() rig.Water {
	return rig.Water{
		DepthM: c.Depth, DepthLowM: c.DepthLow, DepthHighM: c.DepthHigh,
		PaceMPS: c.Pace, PaceLowMPS: c.PaceLow, PaceHighMPS: c.PaceHigh,
		Boil: c.Boil, DistanceM: c.Distance, WindForce: c.Wind, Wind: rig.Wind(c.WindFrom), SwimM: c.Swim, Snaggy: c.Snaggy,
	}
}

func (c rigCmd) aim() rig.Aim {
	return rig.Aim{Fish: c.Fish, Bait: c.Bait, Bigger: c.Bigger, Nuisance: c.Nuisance, HeldStill: c.HeldStill, Junior: c.Junior}
}

// printJSON prints the rigs in the shape of a sheet's.
func (c rigCmd) printJSON(out io.Writer, rigs []rig.Rig, none *rig.NoRigError) error {
	shown := struct {
		Rigs  []exchange.Rig `json:"rigs"`
		NoRig string         `json:"no_rig,omitempty"`
	}{Rigs: []exchange.Rig{}}
	if none != nil {
		shown.NoRig = none.Why
	}
	for i := range rigs {
		shown.Rigs = append(shown.Rigs, exchange.NewRig(&rigs[i]))
	}
	enc := json.NewEncoder(out)
	enc.SetIndent("", "  ")
	return enc.Encode(shown)
}

// printRig prints one rig as a table, from the hook up.
func printRig(out io.Writer, r *rig.Rig, w rig.Water) error {
	t := tabwriter.NewWriter(out, 0, 0, 2, ' ', 0)
	row := func(cells ...string) { fmt.Fprintln(t, strings.Join(cells, "\t")) }
	fmt.Fprintln(out, r.Name)
	hook := "hook " + r.Hook
	if r.Barb == rig.Barbless {
		hook = "barbless " + hook
	}
	row("  0.00 m", hook+", "+r.Bait, "")
	row(fmt.Sprintf("  %.2f m", r.HookLengthM), fmt.Sprintf("hook length of %.2f mm, about %.2f kg", r.HookLengthMM, r.HookLengthKg), "")
	for _, w := range r.Weights {
		row("  "+places(w), fmt.Sprintf("%d × %s of %s, %s", w.Count, w.Size, w.Material, w.Role), fmt.Sprintf("%.3f g", float64(w.Count)*w.EachG))
	}
	row(fmt.Sprintf("  %.2f m", r.SetM), fmt.Sprintf("float, %s; main line %s, %.2f mm, about %.2f kg", r.Marking, r.MainLine, r.MainLineMM, r.MainLineKg), "")
	row("", "on the line", fmt.Sprintf("%.3f g", r.OnLineG))
	left := "short"
	if r.ShortG < 0 {
		left = "over"
	}
	row("", fmt.Sprintf("pulls as lead %.3f g of %.3f g, %s", r.PullG, r.CapacityG, left), fmt.Sprintf("%.3f g", math.Abs(r.ShortG)))
	row("", "hold back", r.HoldBackWords)
	row("", "settles", fmt.Sprintf("in about %.0f s, %.0f m down the swim", r.SettleS, r.SettleM))
	row("", "right", fmt.Sprintf("from %.2f to %.2f m/s, %.2f to %.2f m", r.PaceLowMPS, r.PaceHighMPS, r.DepthLowM, r.DepthHighM))
	if b, err := rig.BaitByName(r.Bait); err == nil && w.PaceMPS > 0 {
		d, err := b.Feed(w)
		if err != nil {
			return err
		}
		row("", "loose feed", fmt.Sprintf("reaches the bottom %.0f to %.0f m down: throw it about %.0f m up", d.Least.M, d.Most.M, d.Middle.M))
	}
	for _, why := range r.Why {
		row("", "why", why)
	}
	for _, f := range r.Findings {
		row("", string(f.Level), f.Text+" "+f.Remedy)
	}
	if err := t.Flush(); err != nil {
		return err
	}
	_, err := fmt.Fprintln(out)
	return err
}

// places are where the weights of an entry sit, metres from the hook.
func places(w rig.Weight) string {
	if w.ToM > w.AtM {
		return fmt.Sprintf("%.2f–%.2f m", w.AtM, w.ToM)
	}
	return fmt.Sprintf("%.2f m", w.AtM)
}
