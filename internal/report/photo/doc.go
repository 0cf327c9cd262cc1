// Package photo reads the pictures beside a trial and makes them fit for a
// page: turned the right way up, no larger than a page shows, and with nothing
// in them but the picture.
//
// It reads JPEG, PNG, GIF (its first picture) and WebP, and tells them by their
// first bytes, never by their name. It writes JPEG, or PNG where a picture has
// see-through parts or is smaller so. Whatever else a file carries is left
// behind: place and camera, thumbnails, comments, and colour profiles, so that
// a picture with a wide profile looks a little paler.
//
// A file is opened inside the folder of its trial and nowhere else, also through
// links. Size and pixels are looked at before anything is decoded. SVG is
// refused: it is a document that can carry scripts and ask for other files.
//
// Errors are ErrOutside, ErrSVG, ErrNoPicture, ErrTooLarge and ErrBroken, or
// those of the file system. Same file, same bytes.
package photo
