package photo

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/gif"
	"image/jpeg"
	"image/png"
	"io"
	"os"
	"path/filepath"

	"golang.org/x/image/webp"
)

// The ways in which a file is refused.
var (
	ErrOutside   = errors.New("it lies outside the folder of the trial")
	ErrSVG       = errors.New("it is an SVG, which can carry scripts; save it as PNG or JPEG")
	ErrEmpty     = errors.New("it is empty; copy it again")
	ErrNoPicture = errors.New("it is no JPEG, PNG, GIF or WebP picture, whatever its name says; save it as one of them")
	ErrTooLarge  = errors.New("it is too large")
	ErrBroken    = errors.New("it is damaged and cannot be read to its end; save it again")
)

// Limits on what is decoded.
const (
	MaxBytes  = 64 << 20   // of a file
	MaxPixels = 50_000_000 // of a picture, width times height
	maxSide   = 30_000     // pixels of one side
)

// kind is a picture format by its first bytes.
type kind struct {
	name   string
	config func(io.Reader) (image.Config, error)
	decode func(io.Reader) (image.Image, error)
}

var kinds = map[string]kind{
	"jpeg": {"jpeg", jpeg.DecodeConfig, jpeg.Decode},
	"png":  {"png", png.DecodeConfig, png.Decode},
	"gif":  {"gif", gif.DecodeConfig, gif.Decode},
	"webp": {"webp", webp.DecodeConfig, webp.Decode},
}

// kindOf tells a format by its first bytes.
func kindOf(b []byte) (kind, error) {
	if len(b) == 0 {
		return kind{}, ErrEmpty
	}
	starts := func(s string) bool { return bytes.HasPrefix(b, []byte(s)) }
	switch {
	case starts("\xff\xd8\xff"):
		return kinds["jpeg"], nil
	case starts("\x89PNG\r\n\x1a\n"):
		return kinds["png"], nil
	case starts("GIF87a"), starts("GIF89a"):
		return kinds["gif"], nil
	case starts("RIFF") && len(b) >= 12 && string(b[8:12]) == "WEBP":
		return kinds["webp"], nil
	case looksLikeSVG(b):
		return kind{}, ErrSVG
	}
	return kind{}, ErrNoPicture
}

// looksLikeSVG looks for the root element among the first bytes, also of a
// compressed file, which is told by its magic number alone.
func looksLikeSVG(b []byte) bool {
	if bytes.HasPrefix(b, []byte("\x1f\x8b")) {
		return true // SVGZ; no picture format that is read here starts so
	}
	head := bytes.ToLower(b[:min(len(b), 4096)])
	head = bytes.ReplaceAll(head, []byte{0}, nil) // UTF-16
	return bytes.Contains(head, []byte("<svg"))
}

// Photo is a picture as it was read: upright once it is made, and not yet made
// smaller.
type Photo struct {
	img           image.Image
	turn          turn
	lossless      bool // came without the traces of JPEG
	Width, Height int  // pixels, upright
}

// Open reads one picture of a trial. folder is the trial's folder, name a path
// below it with slashes.
func Open(folder, name string) (*Photo, error) {
	if !filepath.IsLocal(filepath.FromSlash(name)) {
		return nil, ErrOutside
	}
	root, err := os.OpenRoot(folder)
	if err != nil {
		return nil, err
	}
	defer root.Close()
	info, err := root.Stat(filepath.FromSlash(name))
	switch {
	case err != nil && errors.Is(err, os.ErrNotExist):
		return nil, err
	case err != nil:
		return nil, fmt.Errorf("%w: %w", ErrOutside, err)
	case !info.Mode().IsRegular():
		return nil, ErrNoPicture // and nothing that would wait to be read, such as a pipe
	case info.Size() > MaxBytes:
		return nil, fmt.Errorf("%w: %d bytes, and at most %d are read", ErrTooLarge, info.Size(), MaxBytes)
	}
	f, err := root.Open(filepath.FromSlash(name))
	if err != nil {
		return nil, err
	}
	defer f.Close()
	b, err := io.ReadAll(io.LimitReader(f, MaxBytes+1))
	if err != nil {
		return nil, err
	}
	return Decode(b)
}

// Decode reads a picture from its bytes. Its size is looked at first.
func Decode(b []byte) (p *Photo, err error) {
	if len(b) > MaxBytes {
		return nil, fmt.Errorf("%w: more than %d bytes", ErrTooLarge, MaxBytes)
	}
	k, err := kindOf(b)
	if err != nil {
		return nil, err
	}
	// A decoder that meets what it does not foresee must not end the program.
	defer func() {
		if r := recover(); r != nil {
			p, err = nil, ErrBroken
		}
	}()
	c, err := k.config(bytes.NewReader(b))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%w (%s)", ErrBroken, k.name)
	case c.Width < 1 || c.Height < 1:
		return nil, ErrBroken
	case c.Width > maxSide || c.Height > maxSide || c.Width*c.Height > MaxPixels:
		return nil, fmt.Errorf("%w: %d × %d pixels, and at most %d million are decoded; save it smaller", ErrTooLarge, c.Width, c.Height, MaxPixels/1_000_000)
	}
	img, err := k.decode(bytes.NewReader(b))
	if err != nil {
		return nil, fmt.Errorf("%w (%s)", ErrBroken, k.name)
	}
	size := img.Bounds().Size()
	if size.X < 1 || size.Y < 1 {
		return nil, ErrBroken
	}
	p = &Photo{img: img, turn: turnOf(k.name, b), lossless: k.name != "jpeg", Width: size.X, Height: size.Y}
	if p.turn.sideways() {
		p.Width, p.Height = p.Height, p.Width
	}
	return p, nil
}
