package studio

// BenchData is the bench: the test sheet, what it showed so far, and what that means.
type BenchData struct {
	Rev     int           `json:"rev"`
	Why     string        `json:"why"`  // why there is nothing to test; "" = there is
	Note    string        `json:"note"` // what the page says: another table, facts laid over
	Source  string        `json:"source"`
	Table   int           `json:"table"` // checksum of the file's table
	Vendor  int           `json:"vendor"`
	Product int           `json:"product"`
	Lines   []BenchLine   `json:"lines"`
	Rows    []BenchRow    `json:"rows"`
	Causes  []BenchCause  `json:"causes"`
	Alike   int           `json:"alike"` // how many of the first causes show the same
	Right   bool          `json:"right"` // nothing speaks of a fault
	Next    *BenchAsk     `json:"next,omitempty"`
	Moments []BenchMoment `json:"moments"` // what the last act showed, for the drawing
	Faults  []string      `json:"faults"`  // that a simulated panel can be given
	Kept    []string      `json:"kept"`    // as-built facts in force
}

// BenchLine is a line of the test sheet.
type BenchLine struct {
	ID       string   `json:"id"`
	Say      string   `json:"say"`
	Expect   string   `json:"expect"`
	Do       string   `json:"do"`
	Lamp     string   `json:"lamp"` // the lamp that it looks at, "" = none
	Control  string   `json:"control"`
	Said     string   `json:"said"` // right, partly, wrong, unseen; "" = not tried
	Saw      string   `json:"saw"`
	Before   string   `json:"before"` // the last result in the record, with its date
	Controls []string `json:"controls"`
	Hint     string   `json:"hint"` // how to get there
}

// BenchRow is a line of the mapping: what lights which control.
type BenchRow struct {
	Name    string `json:"name"`
	Label   string `json:"label"`
	Control string `json:"control"`
	Usage   int    `json:"usage"`
	Raw     []int  `json:"raw"`
	Axis    bool   `json:"axis"`
	Lamp    bool   `json:"lamp"`
	Report  int    `json:"report"` // of a lamp that the computer lights: the report that tells it, 0 = none does
	Bit     int    `json:"bit"`    // and its bit there
	Hat     int    `json:"hat"`    // eighths of a turn of its direction on a hat, -1 = it is none
}

// BenchCause is an explanation.
type BenchCause struct {
	N     int         `json:"n"`
	Part  int         `json:"part"` // how likely, per cent
	Say   string      `json:"say"`
	Iron  string      `json:"iron"`
	Table string      `json:"table"`
	Check string      `json:"check"`
	Fix   bool        `json:"fix"` // it can be left as it is
	Spots []BenchSpot `json:"spots"`
	Wires []string    `json:"wires"`
}

// BenchSpot is a place on the panel, mm, as seen from the front.
type BenchSpot struct {
	Control string  `json:"control"`
	Board   string  `json:"board"`
	Label   string  `json:"label"`
	X       float64 `json:"x"`
	Y       float64 `json:"y"`
	Known   bool    `json:"known"`
}

// BenchAsk is what to do next to tell explanations apart.
type BenchAsk struct {
	Say   string `json:"say"`
	Do    string `json:"do"`    // press, hold, turn, ...
	Lamp  string `json:"lamp"`  // the lamp to be told, "" = none
	On    bool   `json:"on"`    // lit, or dark
	Wants string `json:"wants"` // "panel", "lamp", "ohms", "volts", "pins"
}

// BenchMoment is one moment of an act.
type BenchMoment struct {
	At   float64   `json:"at"`
	On   []string  `json:"on"`   // controls with a closed contact
	Axes []float64 `json:"axes"` // by axis, 0 to 1
}

// BenchBegin sits down anew.
type BenchBegin struct {
	Simulate bool     `json:"simulate"`
	Faults   []string `json:"faults"`
	Source   string   `json:"source"` // how the browser calls the panel
	Serial   string   `json:"serial"`
	Table    int      `json:"table"` // checksum that the panel told; 0 = not known
}

// BenchSeen is what the page saw while a line, or the next question, was done.
type BenchSeen struct {
	Line    string        `json:"line"` // "" = the next question
	Moments []BenchReport `json:"moments"`
	Lamp    string        `json:"lamp"`
	Meter   *float64      `json:"meter,omitempty"`
	Pins    *string       `json:"pins,omitempty"` // that ring, as the person names them
	Itself  bool          `json:"itself"`         // the simulated panel does it
}

// BenchReport is what the browser had at one time.
type BenchReport struct {
	At   float64      `json:"at"`
	Raw  []int        `json:"raw,omitempty"` // bytes of the raw bits, with our firmware
	Rows []BenchMoved `json:"rows"`          // lines of the mapping as they stand
}

// BenchMoved is a line of the mapping as it stands.
type BenchMoved struct {
	Row  int     `json:"row"`
	On   bool    `json:"on"`
	Part float64 `json:"part"`
}

// BenchTake accepts an explanation as it is.
type BenchTake struct {
	N int `json:"n"`
}
