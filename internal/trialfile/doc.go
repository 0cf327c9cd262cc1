// Package trialfile reads trial files, version 1 of the format, and writes
// them. It is the only package that imports a YAML library.
//
// Read takes a YAML file and every table that it names, and returns the trial
// with all that was found wrong, in one pass. The YAML becomes a tree of plain
// items with places; CSV rows become the same kind of tree; one table of fields
// (see trialTable) then drives reading, the hints for unknown keys, writing,
// and the JSON Schema. Scalars are read raw: 007, no, on and 1e3 stay text
// where text is meant, and a quantity is what package quantity makes of it. A
// blank value, or ~, means "not known".
//
// # Tables
//
// Cooks, pieces, scores, the key and probe logs may be CSV files: separated by
// commas, semicolons or tabs, with decimal points or, in quoted or
// semicolon-separated cells, decimal commas; with or without a byte order mark;
// lines ending in LF or CRLF; cells quoted where they hold a separator or a
// line break. Lines that start with # before the header are comments, and a
// first line sep=; names the separator. Nested names are dotted (brine.salt,
// with.recipe). A unit may stand in the header: "before (g)". Blank cells are
// missing values.
//
// A column that is no key of the format is kept in a table of cooks or pieces, as
// numbers or words, and is held against what is compared. It has no place in YAML,
// so tables are changed where they stand and never written anew.
//
// One table may hold the pieces of several cooks. Each cook names it, as
// pieces: {from: pieces.csv}, or in the column pieces.from of a table of cooks,
// and its column cook tells whose row is whose. There is no key of that sort
// beside cooks: where a piece belongs is said with its cook, once.
//
// A score sheet that is not yet part of a trial is read by ReadSheet, which also
// takes Windows-1252 and further layouts; SetScores writes its lines into the
// table of the trial and leaves every other byte as it is.
//
// # Limits
//
// A trial file has at most 4 MiB, a table 16 MiB and 200 000 rows, a named
// photo 64 MiB; YAML nests at most 40 deep and aliases expand to at most
// 100 000 values. After 1000 messages the rest of the faults are not listed; a
// line above 64 KiB is not shown with them, and hints stop guessing what was
// meant after 200 000 names were compared. Only UTF-8 is read; other encodings
// are recognised and refused with what to do.
//
// # Folder
//
// Every named file must lie in the folder of the trial file, also when symbolic
// links are followed. Absolute paths are refused.
//
// # Memory
//
// A reading takes cells, items and bytes from a workspace that the next one has
// again. Nothing in a trial or a message may point into it; texts may, they are
// cut from the text of the file.
//
// What it does not do: it judges neither fairness nor safety, and computes
// nothing from the record. An error result is a failure to read the trial file
// itself; everything else is a message with a place.
package trialfile
