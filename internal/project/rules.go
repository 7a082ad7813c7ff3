package project

import "knobwright/internal/finding"

// Rules are the rules about the text of the file itself, before anything is placed.
var Rules = []finding.Rule{
	{Name: "file.syntax", Severity: finding.Stop, Title: "text that can be read as YAML",
		Explain: "The file is YAML: names, a colon and a space, values; what belongs to a name stands indented under it or in braces " +
			"on its line. When a bracket, a quote or the indentation is out of order, nothing after it can be trusted, so nothing is " +
			"drawn from the file until it is mended. The place shown is where reading failed; the slip is there or a line or two " +
			"above. Usual slips: no space after a colon, a tab instead of spaces, a bracket or quote left open, a text that holds a " +
			"colon or begins with a sign and is not in quotes. A file that is a list from its first line on is no panel file either: it " +
			"must be made of named values."},
	{Name: "file.not-text", Severity: finding.Stop, Title: "a text file",
		Explain: "A panel file is plain text in UTF-8. This one holds bytes that are no text: it is another kind of file (a drawing, a " +
			"spreadsheet), or it was saved in another encoding. Open it in a text editor and save it as plain text, UTF-8."},
	{Name: "file.stray-character", Severity: finding.Stop, Title: "invisible characters",
		Explain: "An invisible character stands in the text: a control character, a line separator from a word processor, a carriage return " +
			"without its line feed. Editors do not show it and programs read it differently, so it could change a value unseen. Delete " +
			"the character at the place shown and type the space or line end anew."},
	{Name: "file.too-large", Severity: finding.Stop, Title: "size of the file",
		Explain: "A panel file has at most 1 MiB and 200,000 values. A panel of 2,000 controls needs a fifth of that, so a larger file is " +
			"nearly always the wrong one. Check the name; if it is the right one, use groups in place of repeated lines."},
	{Name: "file.too-deep", Severity: finding.Stop, Title: "depth and repetition",
		Explain: "Values nest at most 40 levels deep, and a value that is named with & and repeated with * may not swell the file beyond " +
			"200,000 values or refer to itself. Real panels need five or six levels. Look for brackets that are opened again and again " +
			"and never closed, and write repeated values out."},
	{Name: "file.two-documents", Severity: finding.Stop, Title: "one panel in a file",
		Explain: "A line of three dashes or three dots ends a YAML document, and here another one follows. A file holds one panel; which of the " +
			"two is meant cannot be known. Until it is mended the first one is checked and " +
			"nothing is written into the file. Put the second into a file of its own, or take the line out."},
	{Name: "file.directive", Severity: finding.Note, Title: "a %YAML line",
		Explain: "A line that begins with %YAML says which version of YAML the file is written in. Panel files are always read as version 1.2, so " +
			"the line changes nothing. Leave it or take it out."},
	{Name: "file.tag", Severity: finding.Stop, Title: "tags",
		Explain: "A word that begins with ! tells some programs how to read the value after it. Nothing here goes by such tags, and a reader that does " +
			"would see another value. Take the tag out; put a text that really begins with ! into quotes."},
	{Name: "file.no-catalogue", Severity: finding.Stop, Title: "your own catalogue file",
		Explain: "The file under catalogue: cannot be read. It lies in the folder of the panel file or below it; write its name as " +
			"it stands there. Parts that only it knows are unknown until then; all the rest is checked."},
	{Name: "file.version", Severity: finding.Warn, Title: "version of the file format",
		Explain: "The line knobwright: 1 says by which version of the format the file is to be read. Without it the file is read as version 1, " +
			"but a later program could not know that; put the line at the top. A file that names another version is not trusted: the same " +
			"words may mean something else there, and a hole drilled in the wrong place stays there."},
	{Name: "file.unknown-key", Severity: finding.Stop, Title: "words that mean something",
		Explain: "A word before a colon means nothing at this place, so its value would be lost without a sound: a legend that is never printed, a " +
			"depth that is never checked. Nearly always it is a slip of the keys, and the likely word is shown; or the line is " +
			"indented under the wrong owner. Values are not taken over with << either: write them out or use a group. Remarks go after a #."},
	{Name: "file.duplicate-key", Severity: finding.Stop, Title: "the same word twice",
		Explain: "The same word stands twice in one list of values. Only the first is read; the second is often the newer one, and programs differ in which " +
			"they believe. Keep the one you mean and delete the other; both places are shown."},
	{Name: "file.duplicate-name", Severity: finding.Stop, Title: "names of controls",
		Explain: "Every control needs a name of its own across the whole file, groups included: drawings, wire lists, labels and tests call it by this name. " +
			"Two controls with the same name stop the work. Names that differ only by capitals, and a group called like a control, " +
			"are warned about: a person with the list in hand will mix them up, and a mirror or a copy could mean either. Rename one; legends may " +
			"stay alike, since legend: is independent of the name."},
	{Name: "file.bad-name", Severity: finding.Stop, Title: "letters in names",
		Explain: "Names of controls, groups, ribs, holes and texts are made of letters of any script, digits, - and _, at most 60 of them. Dots, spaces and " +
			"other signs are kept free because paths, file names and labels are made from the names. What is to be read on the face goes " +
			"into legend:, where everything is allowed."},
	{Name: "file.missing", Severity: finding.Stop, Title: "values that must be given",
		Explain: "Something was begun that means nothing without this value: a rib without its end, an arc without its radius. There is no usual value to take " +
			"in its place. Write it, or take the whole thing out until you know."},
	{Name: "file.no-value", Severity: finding.Note, Title: "words without a value",
		Explain: "A word stands there with nothing after its colon. It is read as if it were not written, so that a file can grow bit by bit; the note is only " +
			"a reminder. For a control without a legend write legend: \"\"."},
	{Name: "file.wrong-shape", Severity: finding.Stop, Title: "one value, a list, or named values",
		Explain: "Three shapes of value exist: one value (12 mm), a list in square brackets ([20, 30]), and named values in braces or indented lines " +
			"({part: push-16mm}). At this place stands another shape than can be understood, or a list with too few or too many values. " +
			"A place on the face is always a list of two: across from the left edge, then up from the bottom edge."},
	{Name: "file.not-a-length", Severity: finding.Stop, Title: "lengths",
		Explain: "A length is a number with its unit: 3 mm, 1.5 cm, 1/8 in, 2 1/2 in. A number without a unit is taken in the file's units:. The decimal sign is " +
			"a point. Here stands something else: another kind of unit, a comma, a word, or a number beyond a kilometre. The value is left out, so " +
			"whatever hangs on it is not checked."},
	{Name: "file.not-an-angle", Severity: finding.Stop, Title: "angles",
		Explain: "An angle is a number of degrees: 15, 15 deg, or 0.26 rad; counter-clockwise as seen from the front, ten turns at most. Here stands something else, " +
			"so the turn is left out."},
	{Name: "file.not-a-number", Severity: finding.Stop, Title: "plain numbers",
		Explain: "A count or a factor is wanted here, without a unit, with a point as its decimal sign. Under limits: a bare number is in the limit's own unit, and a " +
			"number with a unit (2 mm, 16 min of arc) is also understood. Here stands something else, so the value is left out."},
	{Name: "file.not-a-yes-or-no", Severity: finding.Stop, Title: "yes or no",
		Explain: "Only yes or no (or true and false), in small letters, can stand here. Anything else is left out rather than guessed, and the usual " +
			"answer is taken until it is mended."},
	{Name: "file.unknown-word", Severity: finding.Stop, Title: "words to choose from",
		Explain: "At this place one of a few words is wanted, and this is none of them. The likely word or the whole choice is shown. Until it is mended the usual " +
			"value is taken, which may not be the one you want."},
	{Name: "file.many", Severity: finding.Stop, Title: "very many problems",
		Explain: "So many things are wrong that listing them all would hide what matters. Begin with the first one: often a whole block is indented under the wrong " +
			"owner, or the file is not a panel file at all."},
}
