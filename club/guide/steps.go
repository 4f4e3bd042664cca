package guide

import (
	"fmt"
	"math"
	"strings"

	"levelpeg/club"
	"levelpeg/rig"
)

// The parts of a guide.
const (
	partBefore = "Be safe"
	partTie    = "Tie the rig"
	partWater  = "Make it right"
	partFish   = "Fish"
	partAfter  = "Home"
)

// writer writes the steps of one set-up.
type writer struct {
	s Setup
	r rig.Rig
	w rig.Water
	h rig.Handling
}

func newWriter(s Setup) *writer {
	h, _ := rig.HandlingOf(s.Rig.Pattern)
	return &writer{s: s, r: s.Rig, w: s.Water, h: h}
}

// forWater says what a guide is for, and names no place.
func (s Setup) forWater() string {
	words := fmt.Sprintf("For water %s deep that runs at %s m/s", both(s.Water.DepthM), decimal(s.Water.PaceMPS))
	if s.Water.PaceMPS < 0.05 {
		words = fmt.Sprintf("For still water %s deep", both(s.Water.DepthM))
	}
	if s.LevelM != nil {
		words += fmt.Sprintf(", with the river at %.2f m on its board", *s.LevelM)
	}
	return words + ". Bait: " + s.Rig.Bait + "."
}

func (w *writer) steps() []Step {
	var out []Step
	add := func(part string, all ...Step) {
		for _, s := range all {
			s.Part = part
			out = append(out, s)
		}
	}
	add(partBefore, w.company(), w.layOut(), w.wires(), w.river(), w.hooks(), w.clean(), w.sky())
	add(partTie, w.rod(), w.float())
	if w.threads() {
		add(partTie, w.thread())
	}
	add(partTie, w.loopStep())
	add(partTie, w.groups()...)
	add(partTie, w.hookLength(), w.hookSafe())
	add(partWater, w.plumb(), w.setDepth(), w.dot())
	add(partFish, w.bait(), w.cast(), w.run(), w.bite(), w.strike(), w.land(), w.unhook())
	add(partAfter, w.finger(), w.away())
	return out
}

func (w *writer) company() Step {
	return Step{
		Key: "people", Title: "Take a grown-up with you", Care: true,
		Do: []string{
			"Fish with a grown-up beside you.",
			"Tell someone at home where you fish and when you will be back.",
		},
		Why:  "If one of you slips or feels ill, the other can get help.",
		Done: "A grown-up is here, and someone at home knows.",
		Draw: peopleDrawing(),
	}
}

func (w *writer) layOut() Step {
	return Step{
		Key: "layout", Title: "Lay out what you need",
		Do:   []string{"Lay it all on a mat, away from the edge.", "Do not open the hook packet yet."},
		List: w.tackle(),
		Why:  "With wet hands and a fish on the line, you cannot go and look for the net.",
		Done: "Each thing on the list lies here.",
		Hands: fmt.Sprintf("Your hand is a ruler. Stretch it: thumb to little finger is about %s, one finger is about %.1f cm wide. Try yours on a real ruler once.",
			cm(spanM), fingerM*100),
		Draw: layOutDrawing(w.r),
	}
}

// tackle is what the rig is made of, and what has to be at hand.
func (w *writer) tackle() []string {
	r := w.r
	out := []string{"Float: " + r.Name}
	if n := len(w.h.Rubbers); n > 0 {
		out = append(out, number(n)+" float rubbers")
	}
	out = append(out, "Weights: "+w.shotLine())
	hook := fmt.Sprintf("Hook length: %s of %.2f mm, hook size %d", cm(r.HookLengthM), r.HookLengthMM, r.HookSize)
	if r.ReadyTied {
		hook += ", tied in the shop, no barb"
	}
	out = append(out, hook,
		fmt.Sprintf("Reel line: %.2f mm", r.MainLineMM), "Rod: "+rodWords(r),
		"Landing net, wet unhooking mat", "Disgorger, small pliers", "Plummet", "Bait: "+r.Bait, "Soap, water, plasters, a phone", "Rod licence, if you are 13 or older")
	return out
}

// rodWords are how long a rod is, and what that is in metres.
func rodWords(r rig.Rig) string {
	if r.RodFtHigh <= r.RodFtLow {
		return fmt.Sprintf("%s ft (%.1f m)", decimal(r.RodFtLow), r.RodFtLow*0.3048)
	}
	return fmt.Sprintf("%s to %s ft (%.1f to %.1f m)", decimal(r.RodFtLow), decimal(r.RodFtHigh), r.RodFtLow*0.3048, r.RodFtHigh*0.3048)
}

// shotLine is the weights in one line, biggest first, those alike together.
func (w *writer) shotLine() string {
	var words, names []string
	counts := map[string]int{}
	for i := len(w.r.Weights) - 1; i >= 0; i-- {
		one := w.r.Weights[i]
		name := one.Size
		if one.Kind == rig.Olivette {
			name += " olivette"
		}
		if counts[name] == 0 {
			names = append(names, name)
		}
		counts[name] += one.Count
	}
	for _, name := range names {
		if strings.HasSuffix(name, "olivette") && counts[name] == 1 {
			words = append(words, an(name))
			continue
		}
		words = append(words, number(counts[name])+" "+name)
	}
	return list(words)
}

func (w *writer) wires() Step {
	return Step{
		Key: "wires", Title: "Look up for power lines", Care: true,
		Do: []string{
			"Look up and all round. Is there a wire?",
			club.PowerLineCare,
			"If a notice says to stay farther off, do that.",
		},
		Why:  "Power can jump from a wire to a rod, and it kills.",
		Done: "I looked up, and no wire is near.",
		Draw: wiresDrawing(),
	}
}

// river is wading and this level.
func (w *writer) river() Step {
	s := Step{
		Key: "river", Title: "Is the river safe today?", Care: true,
		Why:  "15 cm of fast water can knock a grown-up over.",
		Done: "I stand on firm, flat ground, and the water is not rising.",
		Draw: riverDrawing(w.w, w.s.LevelM),
	}
	s.Do = append(s.Do, fmt.Sprintf("This rig is for water %s deep. Stay on the bank and do not wade.", both(w.w.DepthM)))
	if w.s.LevelM != nil {
		s.Do = append(s.Do, fmt.Sprintf("Read the board. It should say about %.2f m.", *w.s.LevelM))
	}
	if w.s.High {
		s.Do = append(s.Do, "The river is higher than it mostly is. Keep well back from the edge.")
	}
	s.Do = append(s.Do, "If the water is higher, brown or rising, do not start. Ask your grown-up.")
	return s
}

func (w *writer) hooks() Step {
	do := []string{"Leave the hook in its packet until this guide asks for it.", "Wear a cap and glasses.", "Look behind you before each cast."}
	return Step{
		Key: "hooks", Title: "Keep hooks safe", Care: true, Do: do,
		Why:  "A hook on a loose line swings, and finds a finger or an eye.",
		Done: "The hook is in its packet, and my cap is on.",
		Draw: packetDrawing(w.r),
	}
}

func (w *writer) clean() Step {
	return Step{
		Key: "clean", Title: "Cover cuts, keep hands clean", Care: true,
		Do: []string{
			"Put a plaster on each cut.",
			"Keep line and shot out of your mouth.",
			"Wash your hands before you eat.",
		},
		Why:  "Rats leave a germ in rivers. If you feel ill in the next three weeks, tell the doctor you were at a river. The illness is called leptospirosis.",
		Done: "My cuts are covered, and soap is here.",
		Draw: washDrawing(),
	}
}

func (w *writer) sky() Step {
	return Step{
		Key: "sky", Title: "Watch the sky", Care: true,
		Do: []string{
			"If you see a flash, count until the bang.",
			"Under 30 seconds: put the rod down and go into a car or a house.",
			"Wait 30 minutes after the last bang.",
		},
		Why:  "The rod is the tallest thing on the bank, and lightning goes for it.",
		Done: "The sky is clear, and I know where to go.",
		Draw: skyDrawing(),
	}
}

func (w *writer) rod() Step {
	return Step{
		Key: "rod", Title: "Put up the rod",
		Do: []string{
			"Push the rod together, thin end first. Turn the rings into one straight row.",
			"Flip open the wire arm of the reel. Put the line through each ring, from the reel to the tip.",
		},
		Why:  fmt.Sprintf("A line that misses a ring gets stuck, and it breaks when you cast. This rig wants a %s line, because %s.", w.r.MainLine, w.lies()),
		Done: "The line goes through all the rings.",
		Draw: rodDrawing(w.r),
	}
}

func (w *writer) lies() string {
	if w.r.MainLine == "sinking" {
		return "the wind cannot push a line that is under water"
	}
	return "you can lift it off the water"
}

func (w *writer) float() Step {
	s := Step{
		Key: "float", Title: "Put on the float",
		Do:   []string{w.h.Fix},
		Why:  "It must stay where you put it, and still slide when you push it. " + w.h.Breaks,
		Done: "The float is on, tip up, and I can slide it.",
		Draw: floatDrawing(w.r, w.h),
	}
	if words := w.lockWords(); words != "" {
		s.Do = append(s.Do, words)
		s.Why = "The shot hold the float where you want it. They are most of the weight, so the float flies well. " + w.h.Breaks
		s.Knots = []string{"shot"}
	}
	return s
}

// lockWords say how a waggler's shot sit: more below than above, so that the float is
// pushed off the heavier side in the cast. Common practice, no source.
func (w *writer) lockWords() string {
	n, size := w.locks(), ""
	for _, one := range w.r.Weights {
		if one.Role == rig.Lock {
			size = one.Size
		}
	}
	switch {
	case n == 0:
		return ""
	case n == 1:
		return "Here it is one " + size + ", just below the ring."
	}
	return fmt.Sprintf("Here it is %s %s above the ring and %s below it.", number(n/2), size, number(n-n/2))
}

// locks is how many shot hold the float where it is set.
func (w *writer) locks() int {
	n := 0
	for _, one := range w.r.Weights {
		if one.Role == rig.Lock {
			n += one.Count
		}
	}
	return n
}

// threads says whether something goes on the line by its end.
func (w *writer) threads() bool {
	for _, one := range w.r.Weights {
		if one.Kind == rig.Olivette {
			return true
		}
	}
	return false
}

func (w *writer) thread() Step {
	var olivettes []rig.Weight
	var in []int
	for i, one := range w.r.Weights {
		if one.Kind == rig.Olivette {
			olivettes, in = append(olivettes, one), append(in, i)
		}
	}
	s := Step{
		Key: "thread", Title: "Thread the olivette",
		Do: []string{
			fmt.Sprintf("Put the end of the line through the hole in the %s olivette.", olivettes[0].Size),
			"Slide it up the line to the float for now.",
		},
		Why:  "It has to go on first. When the loop is tied, it can no longer get on.",
		Done: "The olivette hangs on the line below the float.",
		Draw: threadDrawing(w.r, olivettes[0]),
	}
	if len(olivettes) > 1 {
		s.Do[0] += fmt.Sprintf(" There are %s of them.", number(len(olivettes)))
	}
	return s
}

func (w *writer) loopStep() Step {
	const fold = 0.12
	return Step{
		Key: "loop", Title: "Tie a loop at the end",
		Do: []string{
			fmt.Sprintf("Fold back the last %s of the line, so that it is double.", cm(fold)),
			"Make the knot in the picture. Wet it, then pull it tight slowly.",
			"Cut the short end off, and put the bit in your pocket.",
		},
		Why:  "The hook length hangs on this loop. So you can change the hook and leave the rig as it is.",
		Done: "I have a loop as long as a fingernail, and it holds when I pull.",
		Draw: lastOf(loopKnot()), Knots: []string{"loop"},
		Hands: cm(fold) + " is about " + byHand(fold) + ".",
	}
}

// groups are a step for each group of weights on the line, from the float down.
func (w *writer) groups() []Step {
	var out []Step
	used := map[string]int{}
	all := grouped(w.r)
	var spare []Step // which wait by what is there by then
	for k := len(all) - 1; k >= 0; k-- {
		s := w.group(all[k])
		used[s.Key]++
		if used[s.Key] > 1 {
			s.Key = fmt.Sprintf("%s-%d", s.Key, used[s.Key])
		}
		if w.r.Weights[all[k][0]].Role == rig.Spare {
			spare = append(spare, s)
			continue
		}
		out = append(out, s)
	}
	return append(out, spare...)
}

// grouped is the weights that are put on together, from the hook up: a bulk with its
// stops, the droppers, a string. The lock belongs to the float.
func grouped(r rig.Rig) [][]int {
	kind := func(role rig.Role) rig.Role {
		if role == rig.Stop {
			return rig.Bulk
		}
		return role
	}
	var out [][]int
	for i, w := range r.Weights {
		if w.Role == rig.Lock {
			continue
		}
		if n := len(out); n > 0 {
			last := r.Weights[out[n-1][len(out[n-1])-1]]
			alike := kind(last.Role) == kind(w.Role)
			if alike && (w.Role != rig.Bulk && w.Role != rig.Stop || w.AtM-last.ToM < markM-1e-9) {
				out[n-1] = append(out[n-1], i)
				continue
			}
		}
		out = append(out, []int{i})
	}
	return out
}

func (w *writer) group(in []int) Step {
	s := Step{Knots: []string{"shot"}}
	ws := make([]rig.Weight, len(in))
	for k, i := range in {
		ws[k] = w.r.Weights[i]
	}
	switch ws[len(ws)/2].Role {
	case rig.Bulk, rig.Stop:
		s = w.bulk(ws)
	case rig.Spare:
		s = w.spare(ws)
	case rig.Strung:
		s = w.string(ws)
	default:
		s = w.droppers(ws)
	}
	s.Knots, s.Hands = []string{"shot"}, w.handsFor(ws)
	s.Draw = groupDrawing(w.r, s.Title+": "+s.Do[0], in)
	return s
}

// handsFor are the ends of a group by hand, from the loop, where a rule is laid.
func (w *writer) handsFor(ws []rig.Weight) string {
	low, high := ws[0].AtM-w.r.HookLengthM, ws[len(ws)-1].ToM-w.r.HookLengthM
	words := fmt.Sprintf("%s above the loop is about %s.", cm(low), byHand(low))
	if high-low > markM/2 {
		words += fmt.Sprintf(" %s is about %s.", cm(high), byHand(high))
	}
	return words
}

// above is a place from the loop, as it is measured while no hook is on.
func (w *writer) above(m float64) string {
	return fmt.Sprintf("%s above the loop", cm(m-w.r.HookLengthM))
}

func (w *writer) bulk(ws []rig.Weight) Step {
	s := Step{Key: "bulk", Title: "Set the bulk"}
	at := ws[0].AtM
	olivette, stops := -1, 0
	for i, one := range ws {
		if one.Kind == rig.Olivette {
			olivette = i
		}
		if one.Role == rig.Stop {
			stops++
		}
	}
	if olivette < 0 {
		var words []string
		all := 0
		for i := len(ws) - 1; i >= 0; i-- {
			words = append(words, count(ws[i]))
			all += ws[i].Count
		}
		s.Do = []string{fmt.Sprintf("Press on %s%s, %s.", list(words), sideBySide(all), w.above(at))}
		s.Why = "This is most of the weight. All in one place, it takes the bait down fast and keeps the line straight."
	} else {
		s.Title = "Set the olivette and its stops"
		s.Do = []string{fmt.Sprintf("Slide the olivette to %s.", w.above(at))}
		stop := ws[0]
		if stops > 0 {
			s.Do = append(s.Do, fmt.Sprintf("Press one %s on the line right below it, and one right above it.", stop.Size))
		}
		s.Why = "The big weight takes the bait down fast. The two small shot stop it from sliding."
	}
	for _, one := range ws {
		if olivette >= 0 && one.Role == rig.Bulk && one.Kind == rig.ShotKind {
			s.Do = append(s.Do, fmt.Sprintf("Add %s right above.", count(one)))
		}
	}
	s.Do = append(s.Do, fmt.Sprintf("That will be %s from the hook.", long(at)))
	s.Done = "It sits where it should, and it does not slide by itself."
	return s
}

func (w *writer) spare(ws []rig.Weight) Step {
	return Step{
		Key: "spare", Title: "Park the spare shot",
		Do:   []string{fmt.Sprintf("Press %s on the line, right above the bulk. Press softly.", count(ws[0]))},
		Why:  "They wait here. Want more weight low down? Slide one to the small shot.",
		Done: "The spare shot sit above the bulk.",
	}
}

func (w *writer) droppers(ws []rig.Weight) Step {
	s := Step{Key: "droppers", Title: "Put on the small shot"}
	for i := len(ws) - 1; i >= 0; i-- {
		s.Do = append(s.Do, w.pressed(ws[i]))
	}
	s.Do = append(s.Do, "Press gently: they must still slide.")
	s.Why = "They take the bait the last bit of the way down. Spread them for a slow fall, or push them together for a fast one."
	s.Done = "The small shot sit at their marks."
	return s
}

// sideBySide is how several shot sit in one place.
func sideBySide(n int) string {
	if n > 1 {
		return ", side by side"
	}
	return ""
}

// pressed says where the shot of a weight go: measured up from the loop, as there is no
// hook on yet, and what that makes from the hook, as the drawing has it.
func (w *writer) pressed(one rig.Weight) string {
	if !apart(one) && one.ToM > one.AtM+markM/2 {
		low, high := one.AtM-w.r.HookLengthM, one.ToM-w.r.HookLengthM
		return fmt.Sprintf("Press on %s, close together, from %.0f to %s above the loop. From the hook that makes %.0f to %s.",
			count(one), low*100, cm(high), one.AtM*100, cm(one.ToM))
	}
	if !apart(one) {
		return fmt.Sprintf("Press on %s%s, %s. That makes %s from the hook.", count(one), sideBySide(one.Count), w.above(one.AtM), long(one.AtM))
	}
	return fmt.Sprintf("Press on %s, one at each mark above the loop: %s. From the hook that makes %s.", count(one), places(one, w.r.HookLengthM), places(one, 0))
}

func (w *writer) string(ws []rig.Weight) Step {
	s := Step{Key: "string", Title: "Spread the shot up the line"}
	for i := len(ws) - 1; i >= 0; i-- {
		s.Do = append(s.Do, w.pressed(ws[i]))
	}
	s.Why = "Spread out, they let the bait sink slowly. It looks as if it were loose, and fish take it as it falls."
	s.Done = "The shot sit at their marks, like buttons on a shirt."
	return s
}

func (w *writer) hookLength() Step {
	r := w.r
	s := Step{
		Key: "hooklength", Title: "Join the hook length", Care: true, Knots: []string{"join"},
		Do: []string{
			fmt.Sprintf("Take the hook length out of its packet: %s long, hook size %s. Hold the hook by its bend.", cm(r.HookLengthM), r.Hook),
			"Join loop to loop, as in the picture. Wet it and pull it tight.",
		},
		Why:  "It is the weakest bit of the line. If the hook gets stuck, it breaks first, and you keep your float.",
		Done: "The two loops sit in each other like two hands.",
		Draw: lastOf(joinKnot()), Hands: cm(r.HookLengthM) + " is about " + byHand(r.HookLengthM) + ".",
	}
	if r.ReadyTied {
		s.Do[0] = fmt.Sprintf("Take the ready-tied hook length out of its packet: %s long, hook size %s, no barb. Hold the hook by its bend.", cm(r.HookLengthM), r.Hook)
	} else {
		s.Knots = append(s.Knots, "spade", "eyed")
		s.Do = append(s.Do, "If it is not tied yet, let a grown-up tie the hook.")
	}
	return s
}

func (w *writer) hookSafe() Step {
	return Step{
		Key: "park", Title: "Park the hook", Care: true,
		Do: []string{
			"Stick the hook in a bit of cork, or in the small ring by the handle.",
			"Turn the reel until the line is just tight.",
			"Do this each time you put the rod down.",
		},
		Why:  "A hook that is parked cannot catch you, the net or the dog.",
		Done: "The hook is parked, and nothing swings.",
		Draw: parkDrawing(),
	}
}

func (w *writer) plumb() Step {
	where := "where you will fish"
	if w.w.DistanceM >= 1 {
		where = fmt.Sprintf("where you will fish, about %.0f m out", w.w.DistanceM)
	}
	s := Step{
		Key: "plumb", Title: "Plumb the depth",
		Do: []string{
			fmt.Sprintf("Slide the float to %s from the hook. Hang the plummet on the hook, and swing it out %s.", both(w.w.DepthM), where),
			"Float gone? The water is deeper: slide it up. Float lies flat? Slide it down.",
		},
		Why:  "The bed may have moved since it was last measured. What you find here counts more than this guide.",
		Done: "With the plummet on the bed, just the tip shows.",
		Draw: plumbDrawing(w.r, w.w),
	}
	if w.locks() > 0 {
		s.Do = append(s.Do, "To move this float, slide its shot along with it.")
	}
	s.Hands = long(w.w.DepthM) + " is about " + byHand(w.w.DepthM) + "."
	return s
}

func (w *writer) setDepth() Step {
	more := w.r.SetM - w.w.DepthM
	s := Step{
		Key: "set", Title: "Set the float",
		Why:  "Now the bait just touches the bed, where most fish feed.",
		Done: "The plummet is in the box, and the float is set.",
		Draw: setDrawing(w.r, w.w),
	}
	if more >= 0.015 {
		s.Do = []string{
			fmt.Sprintf("Take the plummet off. Slide the float up %s more. Here that makes %s.", cm(more), both(w.r.SetM)),
			fmt.Sprintf("Did you find another depth? Then go %s above that.", cm(more)),
		}
		s.Why = "In a current the line hangs at a slant. So it must be a bit longer than the water is deep."
		if w.r.HoldBack >= 0.1 {
			s.Why = "In a current the line hangs at a slant, and more so when you hold it back. So it must be a bit longer than the water is deep."
		}
		s.Hands = cm(more) + " is about " + byHand(more) + "."
	} else {
		s.Do = []string{"Take the plummet off. Leave the float where it is: " + both(w.r.SetM) + ".", "Did you find another depth? Then leave it at yours."}
	}
	return s
}

func (w *writer) dot() Step {
	small := w.smallest()
	return Step{
		Key: "dot", Title: "Dot the tip down",
		Do: []string{
			"Drop the rig in close by, where it is deep enough. Look at the tip.",
			fmt.Sprintf("Too much shows: add a small shot, like a %s. It sinks: take one off.", small),
			"Just the tip should show.",
		},
		Why: fmt.Sprintf("The float can carry %s g, and these weights pull like %.2f g of lead. A tip that sits low goes under at a soft bite. Want another size of float? %s",
			decimal(w.r.CapacityG), w.r.PullG, w.h.Resize),
		Done: "Only the tip shows.",
		Draw: dotDrawing(w.r),
	}
}

// smallest is the size of the lightest shot on the rig.
func (w *writer) smallest() string {
	name, g := "No.10", math.Inf(1)
	for _, one := range w.r.Weights {
		if one.Kind == rig.ShotKind && one.EachG < g {
			name, g = one.Size, one.EachG
		}
	}
	return name
}
