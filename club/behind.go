package club

import (
	"context"
	"time"
)

// A book may be read from a copy that follows it. How far behind such a copy may be to be
// read from at all, and for how long whoever wrote reads from the book itself, so that they
// find what they wrote. The second is the longer by far: whoever compares the two sees a
// copy fall behind only when it next looks.
const (
	MostBehind    = 10 * time.Second
	WroteRecently = 30 * time.Second
)

type behindKey struct{}

// MayBeBehind says that a context's request may be answered from a copy of the book that is
// MostBehind behind it, at most.
func MayBeBehind(ctx context.Context) context.Context {
	return context.WithValue(ctx, behindKey{}, true)
}

// BehindWillDo is what MayBeBehind said; false where nothing did.
func BehindWillDo(ctx context.Context) bool {
	ok, _ := ctx.Value(behindKey{}).(bool)
	return ok
}
