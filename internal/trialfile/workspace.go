package trialfile

import "sync"

// workspace is the memory that reading a trial takes for itself: the bytes of a
// file, cells of tables and items. Nothing of it is left in the trial or in a
// message, so the next reading has it again.
type workspace struct {
	bytes   []byte
	items   slab[item]
	values  slab[*item]
	entries slab[entry]
	cells   slab[cell]
	rows    slab[[]cell]
}

var workspaces = sync.Pool{New: func() any { return new(workspace) }}

// keptBytes is the longest room for the bytes of a file that is kept.
const keptBytes = 1 << 20

// giveBack hands the memory on. The reading must be over.
func (w *workspace) giveBack() {
	if cap(w.bytes) > keptBytes {
		w.bytes = nil
	}
	w.items.reset()
	w.values.reset()
	w.entries.reset()
	w.cells.reset()
	w.rows.reset()
	workspaces.Put(w)
}

// item is a new item at a place.
func (w *workspace) item(kind itemKind, at place) *item {
	it := w.items.one()
	it.kind, it.at = kind, at
	return it
}
