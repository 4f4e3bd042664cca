// Package secret makes and checks what lets people in: passwords, as argon2id hashes, and
// the tokens of sessions and links, of which only SHA-256 is ever kept.
package secret

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
)

// tokenBytes makes a token that nobody guesses.
const tokenBytes = 32

// NewToken is a new token, as a cookie or an address has it, and its hash, as the book
// keeps it.
func NewToken() (token string, hash []byte) {
	b := make([]byte, tokenBytes)
	_, _ = rand.Read(b) // it never fails
	token = base64.RawURLEncoding.EncodeToString(b)
	return token, HashToken(token)
}

// HashToken is the hash of a token.
func HashToken(token string) []byte {
	sum := sha256.Sum256([]byte(token))
	return sum[:]
}
