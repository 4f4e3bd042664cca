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

type firstKey struct{}

// First says that a context's request writes down what somebody recorded: the book sees to
// it before those who only read, however many they are.
func First(ctx context.Context) context.Context { return context.WithValue(ctx, firstKey{}, true) }

// GoesFirst says whether First was said.
func GoesFirst(ctx context.Context) bool { return ctx.Value(firstKey{}) != nil }
