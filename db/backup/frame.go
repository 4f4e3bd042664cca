package backup

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"errors"
	"fmt"
	"hash"
	"io"
	"os"

	"filippo.io/age"
	"github.com/klauspost/compress/zstd"

	"levelpeg/club"
)

// A backup is a tar in one zstd frame, and after it a frame that programs for zstd skip,
// with the SHA-256 of every byte before it: so no byte can change unseen. Encrypted, all
// of it is in an age file.
const (
	skippable  = 0x184D2A50 // RFC 8878, 3.1.2: the first of the magic numbers of frames to skip
	sealWords  = "levelpeg-sha256:"
	sealLength = 4 + 4 + len(sealWords) + sha256.Size
	zstdMagic  = "\x28\xb5\x2f\xfd"
	ageMagic   = "age-encryption.org/"
)

// frameWriter compresses what is written and seals it at the end.
type frameWriter struct {
	*zstd.Encoder
	out  io.Writer // everything behind the encryption, if there is any
	sum  hash.Hash
	lock io.Closer // of the encryption; nil where there is none
}

func newFrameWriter(w io.Writer, to []age.Recipient) (*frameWriter, error) {
	f := &frameWriter{out: w, sum: sha256.New()}
	if len(to) > 0 {
		locked, err := age.Encrypt(w, to...)
		if err != nil {
			return nil, err
		}
		f.out, f.lock = locked, locked
	}
	var err error
	f.Encoder, err = zstd.NewWriter(io.MultiWriter(f.out, f.sum), zstd.WithEncoderConcurrency(1), zstd.WithWindowSize(4<<20))
	return f, err
}

// Close ends the frame and writes the seal.
func (f *frameWriter) Close() error {
	if err := f.Encoder.Close(); err != nil {
		return err
	}
	if _, err := f.out.Write(seal(f.sum.Sum(nil))); err != nil {
		return err
	}
	if f.lock != nil {
		return f.lock.Close()
	}
	return nil
}

func seal(sum []byte) []byte {
	b := binary.LittleEndian.AppendUint32(nil, skippable)
	b = binary.LittleEndian.AppendUint32(b, uint32(len(sealWords)+len(sum)))
	return append(append(b, sealWords...), sum...)
}

// openFrame gives what was compressed. It fails with a sentence where the file is not a
// backup, or none of the keys opens it. What is read is only good once sealed says so.
func openFrame(r io.Reader, keys []age.Identity) (*frameReader, error) {
	in := bufio.NewReaderSize(r, 1<<20)
	first, err := in.Peek(len(ageMagic))
	if err != nil && !errors.Is(err, io.EOF) {
		return nil, err
	}
	locked := string(first) == ageMagic
	if locked {
		if in, err = unlock(in, keys); err != nil {
			return nil, err
		}
		if first, err = in.Peek(len(zstdMagic)); err != nil {
			return nil, damaged(err)
		}
	}
	if !bytes.HasPrefix(first, []byte(zstdMagic)) {
		return nil, club.Faultf(club.Invalid, "This is not a backup of Levelpeg, or its beginning is damaged.")
	}
	f := &frameReader{seal: &sealReader{in: in, sum: sha256.New()}}
	f.Decoder, err = zstd.NewReader(f.seal, zstd.WithDecoderConcurrency(1), zstd.WithDecoderMaxWindow(64<<20))
	return f, err
}

// withFrame opens a file that is not encrypted, and closes it after do.
func withFrame(path string, do func(*frameReader) error) error {
	f, err := os.Open(path)
	if err != nil {
		return err
	}
	defer f.Close()
	frame, err := openFrame(f, nil)
	if err != nil {
		return err
	}
	defer frame.Decoder.Close()
	return do(frame)
}

func unlock(in io.Reader, keys []age.Identity) (*bufio.Reader, error) {
	if len(keys) == 0 {
		return nil, club.Faultf(club.Invalid, "This backup is encrypted. Give the file of its passphrase with --passphrase-file, or of its key with --identity-file.")
	}
	open, err := age.Decrypt(in, keys...)
	var none *age.NoIdentityMatchError
	if errors.As(err, &none) {
		return nil, club.Faultf(club.Invalid, "This passphrase or key does not open this backup.").Because(err)
	}
	if err != nil {
		return nil, damaged(err)
	}
	return bufio.NewReaderSize(open, 1<<20), nil
}

// frameReader gives what was compressed.
type frameReader struct {
	*zstd.Decoder
	seal *sealReader
}

// sealed reads to the very end and says whether every byte is as it was written.
func (f *frameReader) sealed() error {
	n, err := io.Copy(io.Discard, f.Decoder)
	if err != nil {
		return err
	}
	if n > 0 {
		return fmt.Errorf("%d bytes stand after its end", n)
	}
	if _, err := io.Copy(io.Discard, f.seal); err != nil { // what the decoder had no use for
		return err
	}
	return f.seal.check()
}

// sealReader gives all but the seal at the end.
type sealReader struct {
	in   *bufio.Reader
	sum  hash.Hash
	last []byte
	err  error
}

func (s *sealReader) Read(p []byte) (int, error) {
	if s.err != nil {
		return 0, s.err
	}
	ahead, err := s.in.Peek(min(len(p), s.in.Size()-sealLength) + sealLength)
	n := len(ahead) - sealLength
	if err != nil {
		s.err = err
		if n < 0 {
			n = 0
		}
		s.last = bytes.Clone(ahead[n:])
	}
	copy(p, ahead[:n])
	s.sum.Write(ahead[:n])
	s.in.Discard(n) // it was looked at, so it is there
	if n == 0 {
		return 0, s.err
	}
	return n, nil
}

func (s *sealReader) check() error {
	if !bytes.Equal(s.last, seal(s.sum.Sum(nil))) {
		return errors.New("the checksum at its end is not that of what stands before it")
	}
	return nil
}
