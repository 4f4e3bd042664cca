package club

import "runtime"

// atWork holds whoever works out rigs, which takes milliseconds of nothing but a
// processor: no more at once than there are processors. More would gain nothing, and
// everybody whose answer waits for the database would stand in line behind each of them
// at each word that comes from there.
var atWork = make(chan struct{}, runtime.GOMAXPROCS(0))

// working waits for room, and gives what to do afterwards.
func working() (done func()) {
	atWork <- struct{}{}
	return func() { <-atWork }
}
