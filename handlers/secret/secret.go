//go:build !js

package secret

import (
	"context"
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"errors"
	"fmt"
	"time"

	"golang.org/x/crypto/argon2"

	"levelpeg/club"
)

// Params are argon2id's costs.
type Params struct {
	MemoryKiB uint32
	Passes    uint32
	Lanes     uint8
}

// Usual are the costs of new passwords: 19 MiB, two passes, one lane. Source: OWASP
// Password Storage Cheat Sheet, its first choice of argon2id after 46 MiB and one pass.
var Usual = Params{MemoryKiB: 19 * 1024, Passes: 2, Lanes: 1}

// most are the costs beyond which a stored hash is not believed.
var most = Params{MemoryKiB: 256 * 1024, Passes: 16, Lanes: 16}

const (
	saltBytes = 16 // Source: RFC 9106, 3.1
	keyBytes  = 32
)

// one is held by whoever hashes: a burst of sign-ins takes turns and not memory.
var one = make(chan struct{}, 1)

// waitFor is how long somebody waits for their turn.
const waitFor = 8 * time.Second

// turn waits for the turn to hash; the caller gives it back.
func turn(ctx context.Context) error {
	ctx, cancel := context.WithTimeout(ctx, waitFor)
	defer cancel()
	select {
	case one <- struct{}{}:
		return nil
	case <-ctx.Done():
		return club.Faultf(club.Unavailable, "Too many people are signing in at once. Try again in a little while.").Because(ctx.Err())
	}
}

// Hash is a password's hash, with its parameters, in the usual form of argon2id hashes.
func Hash(ctx context.Context, password string) (string, error) {
	if err := turn(ctx); err != nil {
		return "", err
	}
	defer func() { <-one }()
	salt := make([]byte, saltBytes)
	_, _ = rand.Read(salt) // it never fails
	return encode(Usual, salt, derive(password, salt, Usual, keyBytes)), nil
}

func derive(password string, salt []byte, p Params, n uint32) []byte {
	return argon2.IDKey([]byte(password), salt, p.Passes, p.MemoryKiB, p.Lanes, n)
}

func encode(p Params, salt, key []byte) string {
	b := base64.RawStdEncoding
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, p.MemoryKiB, p.Passes, p.Lanes, b.EncodeToString(salt), b.EncodeToString(key))
}

var errForm = errors.New("secret: not an argon2id hash of ours")

func decode(hash string) (p Params, salt, key []byte, err error) {
	var version int
	var rest string
	n, err := fmt.Sscanf(hash, "$argon2id$v=%d$m=%d,t=%d,p=%d$%s", &version, &p.MemoryKiB, &p.Passes, &p.Lanes, &rest)
	if err != nil || n != 5 || version != argon2.Version || p.MemoryKiB > most.MemoryKiB || p.Passes == 0 || p.Passes > most.Passes || p.Lanes == 0 || p.Lanes > most.Lanes {
		return p, nil, nil, errForm
	}
	for i := range rest {
		if rest[i] != '$' {
			continue
		}
		b := base64.RawStdEncoding.Strict()
		if salt, err = b.DecodeString(rest[:i]); err == nil {
			key, err = b.DecodeString(rest[i+1:])
		}
		if err != nil || len(salt) < 8 || len(key) < 16 || len(key) > 64 {
			return p, nil, nil, errForm
		}
		return p, salt, key, nil
	}
	return p, nil, nil, errForm
}

// nobody is the hash that is checked where there is none, so that a name nobody has costs
// the same work as one that somebody has.
var nobody = encode(Usual, make([]byte, saltBytes), make([]byte, keyBytes))

// Check says whether a password is the one of a hash. An empty hash is nobody's: it costs
// the same, and the answer is no.
func Check(ctx context.Context, hash, password string) (bool, error) {
	none := hash == ""
	if none {
		hash = nobody
	}
	p, salt, key, err := decode(hash)
	if err != nil {
		return false, err
	}
	if err := turn(ctx); err != nil {
		return false, err
	}
	defer func() { <-one }()
	same := subtle.ConstantTimeCompare(derive(password, salt, p, uint32(len(key))), key) == 1
	return same && !none, nil
}
