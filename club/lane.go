package club

import "context"

type laneKey struct{}

// InLane says what kind of request a context is of. Of one kind the book serves fewer at
// once than it could, so that a kind which hangs leaves the others room.
func InLane(ctx context.Context, lane string) context.Context {
	return context.WithValue(ctx, laneKey{}, lane)
}

// Lane is what InLane said; empty where nothing did.
func Lane(ctx context.Context) string {
	lane, _ := ctx.Value(laneKey{}).(string)
	return lane
}
