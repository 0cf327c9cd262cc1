package photo

import (
	"bytes"
	"encoding/binary"
	"errors"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// corners is a picture with a colour in each quarter: red, green above; blue,
// white below.
func corners(w, h int) *image.NRGBA {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	for y := range h {
		for x := range w {
			m.SetNRGBA(x, y, [2][2]color.NRGBA{{{R: 255, A: 255}, {G: 255, A: 255}}, {{B: 255, A: 255}, {255, 255, 255, 255}}}[2*y/h][2*x/w])
		}
	}
	return m
}

func asPNG(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := png.Encode(&b, m); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func asJPEG(t *testing.T, m image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := jpeg.Encode(&b, m, &jpeg.Options{Quality: 95}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// tiff is an Exif body with an orientation, and a place that must not travel.
func tiff(order binary.AppendByteOrder, turn uint16) []byte {
	b := []byte("II*\x00")
	if order.String() == "BigEndian" {
		b = []byte("MM\x00*")
	}
	b = order.AppendUint32(b, 8)
	b = order.AppendUint16(b, 1)
	b = order.AppendUint16(b, 0x0112)
	b = order.AppendUint16(b, 3)
	b = order.AppendUint32(b, 1)
	b = order.AppendUint16(b, turn)
	b = append(b, 0, 0, 0, 0, 0, 0)
	return append(b, "GPS 54.4 SECRET PLACE"...)
}

func withExif(jpg, exif []byte) []byte {
	seg := append([]byte("Exif\x00\x00"), exif...)
	out := append([]byte{0xff, 0xd8, 0xff, 0xe1}, binary.BigEndian.AppendUint16(nil, uint16(len(seg)+2))...)
	return append(append(out, seg...), jpg[2:]...)
}

func chunk(name string, body []byte) []byte {
	b := binary.BigEndian.AppendUint32(nil, uint32(len(body)))
	b = append(append(b, name...), body...)
	return binary.BigEndian.AppendUint32(b, crc32.ChecksumIEEE(b[4:]))
}

func withChunk(p []byte, c []byte) []byte {
	const header = 8 + 25 // signature and IHDR
	return append(append(append([]byte{}, p[:header]...), c...), p[header:]...)
}

func made(t *testing.T, b []byte, factor float64) (*Picture, image.Image) {
	t.Helper()
	p, err := Decode(b)
	if err != nil {
		t.Fatal(err)
	}
	pic, err := p.Make(factor)
	if err != nil {
		t.Fatal(err)
	}
	m, format, err := image.Decode(bytes.NewReader(pic.Data))
	if err != nil {
		t.Fatal(err)
	}
	if "image/"+format != pic.Type || m.Bounds().Dx() != pic.Width || m.Bounds().Dy() != pic.Height {
		t.Errorf("%s of %d × %d calls itself %s, %d × %d", format, m.Bounds().Dx(), m.Bounds().Dy(), pic.Type, pic.Width, pic.Height)
	}
	return pic, m
}

// quarter names the colour in a quarter of a picture.
func quarter(m image.Image, right, below bool) string {
	b := m.Bounds()
	x, y := b.Min.X+b.Dx()/4, b.Min.Y+b.Dy()/4
	if right {
		x += b.Dx() / 2
	}
	if below {
		y += b.Dy() / 2
	}
	r, g, bl, _ := m.At(x, y).RGBA()
	s := ""
	for i, v := range []uint32{r, g, bl} {
		if v > 0x8000 {
			s += string("rgb"[i])
		}
	}
	return s
}

// What each orientation shows at left above, right above, left below, right
// below, for a file whose pixels are red, green, blue, white (Exif 2.32: where
// row 0 and column 0 of the file are in what is seen).
var turned = map[uint16][4]string{
	1: {"r", "g", "b", "rgb"}, 2: {"g", "r", "rgb", "b"}, 3: {"rgb", "b", "g", "r"}, 4: {"b", "rgb", "r", "g"},
	5: {"r", "b", "g", "rgb"}, 6: {"b", "r", "rgb", "g"}, 7: {"rgb", "g", "b", "r"}, 8: {"g", "rgb", "r", "b"},
	0: {"r", "g", "b", "rgb"}, 9: {"r", "g", "b", "rgb"},
}

func TestOrientation(t *testing.T) {
	t.Parallel()
	m := corners(64, 32)
	for v, want := range turned {
		for _, order := range []binary.AppendByteOrder{binary.LittleEndian, binary.BigEndian} {
			files := map[string][]byte{
				"jpeg": withExif(asJPEG(t, m), tiff(order, v)),
				"png":  withChunk(asPNG(t, m), chunk("eXIf", tiff(order, v))),
			}
			for name, file := range files {
				for _, factor := range []float64{1, 0.5} {
					pic, got := made(t, file, factor)
					w, h := int(64*factor), int(32*factor)
					if v >= 5 && v <= 8 {
						w, h = h, w
					}
					if pic.Width != w || pic.Height != h {
						t.Errorf("%s, orientation %d: %d × %d, want %d × %d", name, v, pic.Width, pic.Height, w, h)
					}
					if q := [4]string{quarter(got, false, false), quarter(got, true, false), quarter(got, false, true), quarter(got, true, true)}; q != want {
						t.Errorf("%s, orientation %d: %q, want %q", name, v, q, want)
					}
				}
			}
		}
	}
}

// Nothing but the picture is left.
func TestMetadataIsGone(t *testing.T) {
	t.Parallel()
	m := corners(40, 40)
	secret := []byte("SECRET PLACE")
	for name, file := range map[string][]byte{
		"jpeg exif":    withExif(asJPEG(t, m), tiff(binary.LittleEndian, 1)),
		"jpeg trailer": append(asJPEG(t, m), secret...),
		"png text":     withChunk(asPNG(t, m), chunk("tEXt", append([]byte("Comment\x00"), secret...))),
		"png exif":     withChunk(asPNG(t, m), chunk("eXIf", tiff(binary.BigEndian, 1))),
	} {
		if !bytes.Contains(file, secret) {
			t.Fatalf("%s has nothing to lose", name)
		}
		pic, _ := made(t, file, 1)
		if bytes.Contains(pic.Data, secret) || bytes.Contains(pic.Data, []byte("Exif")) || bytes.Contains(pic.Data, []byte("eXIf")) {
			t.Errorf("%s travels on", name)
		}
		if !strings.HasPrefix(pic.URL(), "data:"+pic.Type+";base64,") {
			t.Errorf("%s: %.30s", name, pic.URL())
		}
	}
}

func TestFormats(t *testing.T) {
	t.Parallel()
	m := corners(40, 20)
	var g bytes.Buffer
	if err := gif.Encode(&g, m, nil); err != nil {
		t.Fatal(err)
	}
	hole := corners(20, 20)
	hole.SetNRGBA(0, 0, color.NRGBA{})
	for name, c := range map[string]struct {
		file []byte
		want string
	}{
		"jpeg stays jpeg":       {asJPEG(t, m), "image/jpeg"},
		"flat png stays png":    {asPNG(t, m), "image/png"},
		"gif becomes png":       {g.Bytes(), "image/png"},
		"see-through stays png": {asPNG(t, hole), "image/png"},
		"noisy png is a jpeg":   {asPNG(t, noise(200, 200)), "image/jpeg"},
	} {
		if pic, _ := made(t, c.file, 1); pic.Type != c.want {
			t.Errorf("%s: %s", name, pic.Type)
		}
	}
	webp, err := os.ReadFile(filepath.Join("testdata", "four.webp"))
	if err != nil {
		t.Fatal(err)
	}
	pic, got := made(t, webp, 1)
	if q := quarter(got, false, false) + quarter(got, true, true); pic.Width != 40 || q != "rrgb" {
		t.Errorf("webp: %d px wide, %s", pic.Width, q)
	}
}

func noise(w, h int) image.Image {
	m := image.NewNRGBA(image.Rect(0, 0, w, h))
	s := uint32(1)
	for i := range m.Pix {
		s = s*1664525 + 1013904223
		m.Pix[i] = byte(s >> 24)
		if i%4 == 3 {
			m.Pix[i] = 255
		}
	}
	return m
}

// giant is a PNG that says it has w × h pixels, in a few bytes.
func giant(w, h uint32) []byte {
	ihdr := binary.BigEndian.AppendUint32(binary.BigEndian.AppendUint32(nil, w), h)
	b := append([]byte("\x89PNG\r\n\x1a\n"), chunk("IHDR", append(ihdr, 8, 2, 0, 0, 0))...)
	return append(append(b, chunk("IDAT", nil)...), chunk("IEND", nil)...)
}

func TestRefused(t *testing.T) {
	t.Parallel()
	jpg := asJPEG(t, corners(64, 64))
	for name, c := range map[string]struct {
		file []byte
		want error
	}{
		"nothing":             {nil, ErrEmpty},
		"words":               {[]byte("hello"), ErrNoPicture},
		"a page":              {[]byte("<!doctype html><script>alert(1)</script>"), ErrNoPicture},
		"a program":           {[]byte("MZ\x90\x00"), ErrNoPicture},
		"svg":                 {[]byte(`<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>`), ErrSVG},
		"svg with a head":     {[]byte("\xef\xbb\xbf<?xml version=\"1.0\"?>\n<!-- x --><SVG/>"), ErrSVG},
		"svg in UTF-16":       {[]byte("\xff\xfe<\x00s\x00v\x00g\x00>\x00"), ErrSVG},
		"compressed svg":      {[]byte("\x1f\x8b\x08\x00"), ErrSVG},
		"20 000 × 20 000":     {giant(20_000, 20_000), ErrTooLarge},
		"long and thin":       {giant(40_000, 1), ErrTooLarge},
		"a product too large": {giant(1<<31-1, 1<<31-1), nil}, // refused by name below
		"half a jpeg":         {jpg[:len(jpg)/2], ErrBroken},
		"head of a jpeg":      {jpg[:3], ErrBroken},
		"head of a png":       {giant(10, 10)[:20], ErrBroken},
		"png without pixels":  {giant(10, 10), ErrBroken},
		"head of a webp":      {[]byte("RIFF\x00\x00\x00\x00WEBP"), ErrBroken},
		"head of a gif":       {[]byte("GIF89a"), ErrBroken},
	} {
		p, err := Decode(c.file)
		if p != nil || err == nil || c.want != nil && !errors.Is(err, c.want) {
			t.Errorf("%s: %v, want %v", name, err, c.want)
		}
	}
}

// Too many pixels are refused before any of them is decoded.
func TestTooLargeCostsNothing(t *testing.T) {
	file := giant(20_000, 20_000)
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	if _, err := Decode(file); !errors.Is(err, ErrTooLarge) {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	if used := after.TotalAlloc - before.TotalAlloc; used > 1<<20 {
		t.Errorf("%d bytes were taken", used)
	}
}

func TestOpen(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	inside := filepath.Join(dir, "trial")
	for name, b := range map[string][]byte{
		"trial/photos/a.jpg":    asJPEG(t, corners(8, 8)),
		"trial/lies.jpg":        asPNG(t, corners(8, 8)), // a picture is a picture
		"trial/svg.png":         []byte("<svg/>"),
		"outside.png":           asPNG(t, corners(8, 8)),
		"trial/photos/not.jpeg": []byte("MZ"),
	} {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, b, 0o666); err != nil {
			t.Fatal(err)
		}
	}
	for link, to := range map[string]string{"link.png": "../outside.png", "photos/up": "..", "within.jpg": "photos/a.jpg"} {
		if err := os.Symlink(to, filepath.Join(inside, link)); err != nil {
			t.Skip(err)
		}
	}
	for name, want := range map[string]error{
		"photos/a.jpg": nil, "lies.jpg": nil, "within.jpg": nil, "photos/up/lies.jpg": nil,
		"svg.png": ErrSVG, "photos/not.jpeg": ErrNoPicture, "photos": ErrNoPicture,
		"../outside.png": ErrOutside, "photos/../../outside.png": ErrOutside, "/etc/passwd": ErrOutside, "": ErrOutside,
		"link.png": ErrOutside, "photos/up/../outside.png": ErrOutside, "nowhere.png": os.ErrNotExist,
	} {
		p, err := Open(inside, name)
		if (want == nil) != (err == nil) || want != nil && !errors.Is(err, want) || (p == nil) != (err != nil) {
			t.Errorf("%q: %v, want %v", name, err, want)
		}
	}
}

func TestFit(t *testing.T) {
	t.Parallel()
	a, b := &Photo{Width: 400, Height: 200}, &Photo{Width: 100, Height: 1000}
	for _, c := range []struct {
		w, h int
		ps   []*Photo
		want float64
	}{{1000, 1000, nil, 1}, {1000, 1000, []*Photo{a}, 1}, {200, 1000, []*Photo{a}, 0.5}, {200, 250, []*Photo{a, b}, 0.25}} {
		if got := Fit(c.w, c.h, c.ps...); got != c.want {
			t.Errorf("%d × %d: %v, want %v", c.w, c.h, got, c.want)
		}
	}
}

func TestRepeatable(t *testing.T) {
	t.Parallel()
	for _, file := range [][]byte{asJPEG(t, noise(90, 70)), asPNG(t, noise(90, 70))} {
		a, _ := made(t, file, 0.37)
		b, _ := made(t, file, 0.37)
		if a.URL() != b.URL() {
			t.Error("not the same twice")
		}
	}
}

func TestStrangeFactors(t *testing.T) {
	t.Parallel()
	nan := 0.0
	for _, f := range []float64{0, -1, 2, nan / 1, 1e-9} {
		pic, _ := made(t, asPNG(t, corners(10, 6)), f)
		if pic.Width < 1 || pic.Width > 10 {
			t.Errorf("factor %v: %d px", f, pic.Width)
		}
	}
}

func FuzzDecode(f *testing.F) {
	var t testing.T
	f.Add(asPNG(&t, corners(4, 4)))
	f.Add(withExif(asJPEG(&t, corners(4, 4)), tiff(binary.LittleEndian, 6)))
	f.Add([]byte("GIF89a\x01\x00\x01\x00"))
	f.Add([]byte("RIFF\x10\x00\x00\x00WEBPEXIF\xff\xff\xff\xff"))
	f.Fuzz(func(t *testing.T, b []byte) {
		for _, format := range []string{"jpeg", "png", "webp"} {
			if v := turnOf(format, b); v < 1 || v > 8 {
				t.Fatalf("orientation %d", v)
			}
		}
		if len(b) > 1<<16 {
			return
		}
		if p, err := Decode(b); err == nil {
			if p.Width*p.Height > 1<<20 {
				return
			}
			if _, err := p.Make(0.5); err != nil {
				t.Fatal(err)
			}
		}
	})
}
