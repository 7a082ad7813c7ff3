package costing

import "knobwright/internal/trust"

// sundry is a thing that the catalogue has no record of: a price range in euro for one unit, and how it is sold.
type sundry struct {
	title string
	unit  string
	pack  float64
	price Range
}

// Prices of ordinary hardware counters and builders' merchants, ranges wide on purpose. Common practice, low confidence.
var sundries = map[string]sundry{
	"machine-screw":   {"Machine screw", "", 10, Range{0.04, 0.25}},
	"wood-screw":      {"Wood screw", "", 50, Range{0.02, 0.1}},
	"insert":          {"Threaded insert for wood", "", 10, Range{0.1, 0.45}},
	"foot":            {"Rubber foot", "", 4, Range{0.1, 0.8}},
	"grommet":         {"Cable grommet", "", 1, Range{0.2, 1}},
	"strip":           {"Softwood strip", "m", 1, Range{0.8, 3.5}},
	"knob":            {"Knob", "", 1, Range{0.4, 3}},
	"wood-glue":       {"Wood glue", "ml", 75, Range{0.03, 0.07}},
	"polyurethane":    {"Polyurethane glue", "ml", 60, Range{0.06, 0.16}},
	"epoxy":           {"Epoxy, slow, both parts", "ml", 50, Range{0.12, 0.35}},
	"plastic-cement":  {"Cement for plastics", "ml", 50, Range{0.06, 0.2}},
	"contact-glue":    {"Contact adhesive", "ml", 50, Range{0.05, 0.14}},
	"primer":          {"Primer", "ml", 125, Range{0.03, 0.08}},
	"paint":           {"Paint for the face", "ml", 125, Range{0.03, 0.09}},
	"lacquer":         {"Clear lacquer", "ml", 125, Range{0.04, 0.12}},
	"finish":          {"Clear finish for wood", "ml", 125, Range{0.03, 0.1}},
	"wood-paint":      {"Paint for wood", "ml", 125, Range{0.03, 0.09}},
	"fill-paint":      {"Paint to fill engraved letters", "ml", 20, Range{0.1, 0.3}},
	"rub-on":          {"Rub-on letters, a sheet", "", 1, Range{4, 12}},
	"abrasive-120":    {"Abrasive paper, grit 120", "", 1, Range{0.4, 1.2}},
	"abrasive-240":    {"Abrasive paper, grit 240", "", 1, Range{0.4, 1.2}},
	"masking-tape":    {"Masking tape, a roll", "", 1, Range{1.5, 5}},
	"template-paper":  {"Paper for templates and legends, A4", "", 20, Range{0.01, 0.05}},
	"template-letter": {"Paper for templates and legends, Letter", "", 20, Range{0.01, 0.05}},
	"glue-stick":      {"Glue stick for the template", "", 1, Range{0.8, 2.5}},
	"label-film":      {"Self-adhesive film for labels, A4", "", 5, Range{0.2, 0.8}},
}

var sundryPrice = trust.Source{Text: "usual at hardware counters, euro area", Provenance: trust.Practice, Confidence: trust.Low}

// Rates of use. Common practice; the tins and tubes say their own.
const (
	glueMLPerM2    = 180  // wood glue on one of the two sides of a joint, with what is pressed out
	paintMLPerM2   = 110  // a coat by brush or roller, 8 to 10 m2 a litre
	finishMLPerM2  = 90   // a coat on wood
	usualCoats     = 2    // of paint and of finish, when the file does not say
	contactMLPerM2 = 160  // contact adhesive on each of the two sides
	fillMLEach     = 0.3  // of paint in the letters of one legend
	gramsPerJoint  = 0.08 // of solder of 0.7 mm, with what drips
)
