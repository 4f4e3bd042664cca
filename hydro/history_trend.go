package hydro

// trends are how a trend went on at all hours of a record, over each rung: the sums of a
// regression of the change on g, apart for rises and falls.
type trends struct{ rise, fall [rungs]trend }

type trend struct{ cross, square, hours float64 }

// trendHeld is the share of g that is held to come before anything is known: half of it,
// as likely as not, and less and less past a day.
func trendHeld(ahead float64) float64 { return 0.5 * dayHours / (dayHours + ahead) }

// learn takes in every so many hours of a record.
func (t *trends) learn(hs *hourMeans, baseM float64, stride int) {
	for i := nowHours; i < len(hs.level); i += stride {
		rate, from := hs.change(i, nowHours), float64(hs.level[i])
		if rate != rate {
			continue
		}
		of := t.of(rate)
		for k, ahead := range rungHours {
			if i+int(ahead) >= len(hs.level) {
				break
			}
			change := float64(hs.level[i+int(ahead)]) - from
			if change == change {
				of[k].add(goesOn(from, rate, baseM, ahead), change, float64(stride))
			}
		}
	}
}

// of gives the trends of a rate's direction.
func (t *trends) of(rate float64) *[rungs]trend {
	if rate < 0 {
		return &t.fall
	}
	return &t.rise
}

func (t *trend) add(goes, change, hours float64) {
	t.cross += goes * change
	t.square += goes * goes
	t.hours += hours
}

// shares are how much of g came, over each rung, in two records: the slope of the change
// on it, drawn to what is held beforehand as if three more spells had said so.
func shares(a, b *[rungs]trend) (out [rungs]float64) {
	for k, ahead := range rungHours {
		cross, square := a[k].cross+b[k].cross, a[k].square+b[k].square
		spells := (a[k].hours + b[k].hours) / max(dayHours, spellTimes*ahead)
		out[k] = trendHeld(ahead)
		if square > 0 {
			came := min(max(cross/square, 0), 1)
			out[k] += (came - out[k]) * spells / (spells + priorShort)
		}
	}
	return out
}
