package rig

// Handling is how a float of a pattern is put on, fished and looked after, in plain
// sentences for someone who has never held one. All of it is common practice of the
// trade, no source.
type Handling struct {
	Fix     string   // how it goes on the line
	Rubbers []string // where its rubbers sit, from the top; none: shot hold it
	Cast    string   // how it is thrown
	Run     string   // how it is let down the swim
	Bite    string   // what a bite looks like on it
	Strike  string   // how to strike, and why so
	Breaks  string   // how it breaks
	Leaves  string   // how it leaves the water
	Resize  string   // how to change its size
}

// HandlingOf is a pattern's handling by its id; false for an id that is not known.
func HandlingOf(pattern string) (Handling, bool) {
	for _, p := range registered {
		if p.ID == pattern {
			return p.Handling, true
		}
	}
	return Handling{}, false
}
