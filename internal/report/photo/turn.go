package photo

import (
	"bytes"
	"encoding/binary"
	"image"
	"image/draw"
)

// turn is an orientation as a camera writes it, 1 to 8 (Exif 2.32, tag 0x0112).
// 1 is upright, and so is anything else that is not one of them.
type turn uint16

// sideways reports whether width and height change places.
func (t turn) sideways() bool { return t >= 5 && t <= 8 }

// from is the pixel of a picture of w × h that is shown at x, y.
func (t turn) from(x, y, w, h int) (int, int) {
	switch t {
	case 2:
		return w - 1 - x, y
	case 3:
		return w - 1 - x, h - 1 - y
	case 4:
		return x, h - 1 - y
	case 5:
		return y, x
	case 6:
		return y, h - 1 - x
	case 7:
		return w - 1 - y, h - 1 - x
	case 8:
		return w - 1 - y, x
	}
	return x, y
}

// upright turns a picture.
func (t turn) upright(src *image.NRGBA) *image.NRGBA {
	if t < 2 || t > 8 {
		return src
	}
	w, h := src.Rect.Dx(), src.Rect.Dy()
	size := image.Rect(0, 0, w, h)
	if t.sideways() {
		size = image.Rect(0, 0, h, w)
	}
	dst := image.NewNRGBA(size)
	for y := range size.Dy() {
		for x := range size.Dx() {
			sx, sy := t.from(x, y, w, h)
			copy(dst.Pix[dst.PixOffset(x, y):][:4], src.Pix[src.PixOffset(sx+src.Rect.Min.X, sy+src.Rect.Min.Y):][:4])
		}
	}
	return dst
}

// turnOf finds the orientation in a file; 1 where it says none.
func turnOf(format string, b []byte) turn {
	switch format {
	case "jpeg":
		return turnOfJPEG(b)
	case "png":
		return turnOfChunks(b, 8, func(b []byte) (string, int, int) { return string(b[4:8]), int(binary.BigEndian.Uint32(b)), 4 }, "eXIf")
	case "webp":
		return turnOfChunks(b, 12, func(b []byte) (string, int, int) {
			n := int(binary.LittleEndian.Uint32(b[4:]))
			return string(b[:4]), n, n & 1
		}, "EXIF")
	}
	return 1
}

// turnOfJPEG walks the segments before the picture to the one with Exif in it.
func turnOfJPEG(b []byte) turn {
	for at := 2; at+4 <= len(b) && b[at] == 0xff; {
		marker, n := b[at+1], int(binary.BigEndian.Uint16(b[at+2:]))
		if marker == 0xda || n < 2 || at+2+n > len(b) {
			break
		}
		if body := b[at+4 : at+2+n]; marker == 0xe1 && bytes.HasPrefix(body, []byte("Exif\x00\x00")) {
			return turnOfTIFF(body[6:])
		}
		at += 2 + n
	}
	return 1
}

// turnOfChunks walks chunks of a name, a length and tail bytes after the body.
func turnOfChunks(b []byte, at int, head func([]byte) (name string, length, tail int), want string) turn {
	for at+8 <= len(b) {
		name, n, tail := head(b[at:])
		if n < 0 || n > len(b)-at-8 {
			break
		}
		if name == want {
			return turnOfTIFF(bytes.TrimPrefix(b[at+8:at+8+n], []byte("Exif\x00\x00")))
		}
		at += 8 + n + tail
	}
	return 1
}

// turnOfTIFF reads the tag in the first directory of a TIFF header.
func turnOfTIFF(b []byte) turn {
	if len(b) < 8 {
		return 1
	}
	var order binary.ByteOrder = binary.LittleEndian
	switch string(b[:4]) {
	case "II*\x00":
	case "MM\x00*":
		order = binary.BigEndian
	default:
		return 1
	}
	at := int64(order.Uint32(b[4:]))
	if at < 8 || at+2 > int64(len(b)) {
		return 1
	}
	n := int64(order.Uint16(b[at:]))
	for i := range n {
		e := at + 2 + 12*i
		if e+12 > int64(len(b)) {
			break
		}
		// One SHORT, which stands in the entry itself.
		if order.Uint16(b[e:]) == 0x0112 && order.Uint16(b[e+2:]) == 3 && order.Uint32(b[e+4:]) == 1 {
			if v := turn(order.Uint16(b[e+8:])); v >= 1 && v <= 8 {
				return v
			}
			break
		}
	}
	return 1
}

// plain copies a picture to a form whose pixels are at hand.
func plain(src image.Image) *image.NRGBA {
	b := src.Bounds()
	dst := image.NewNRGBA(image.Rect(0, 0, b.Dx(), b.Dy()))
	draw.Draw(dst, dst.Rect, src, b.Min, draw.Src)
	return dst
}
