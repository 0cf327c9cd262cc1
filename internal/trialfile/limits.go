package trialfile

const (
	maxYAML     = 4 << 20  // bytes of a trial file
	maxCSV      = 16 << 20 // bytes of a table
	maxPhoto    = 64 << 20 // bytes of any other named file
	maxRows     = 200_000  // rows of a table
	maxColumns  = 1000     // columns of a table
	maxNesting  = 40       // levels of YAML
	maxExpanded = 100_000  // values that aliases expand to
	maxMessages = 1000     // messages of one reading
	maxID       = 100      // characters of an id
	maxShort    = 1000     // characters of a text that is no notes
	maxLine     = 64 << 10 // bytes of a line that is shown with a message
)
