package svg

import (
	"regexp"
	"strconv"
	"strings"
)

// Sheet collects what the pictures of a page look like, so that a look is said
// once a page, in a rule of its style sheet, and by a class of a few letters
// where it is used. The zero Sheet is ready; it must not be copied once used.
type Sheet struct {
	names map[string]string
	rules strings.Builder
}

// class is the class of a look, which is a list of attributes.
func (s *Sheet) class(look string) string {
	if name, ok := s.names[look]; ok {
		return name
	}
	if s.names == nil {
		s.names = map[string]string{}
	}
	name := "k" + strconv.FormatInt(int64(len(s.names)), 36)
	s.names[look] = name
	s.rules.WriteString("." + name + "{" + declarations(look) + "}\n")
	return name
}

// CSS is the rules of all pictures drawn with the sheet, in the order in which
// their looks were first met, and of what they have in common.
func (s *Sheet) CSS() string { return ".fig{font-family:" + families + "}\n" + s.rules.String() }

var attribute = regexp.MustCompile(`([a-z-]+)="([^"]*)"`)

// declarations says attributes of SVG as declarations of CSS: each is a property
// of the same name, but that a size of type needs its unit.
func declarations(look string) string {
	var out []string
	for _, m := range attribute.FindAllStringSubmatch(look, -1) {
		switch m[1] {
		case "style":
			out = append(out, m[2])
		case "font-size":
			out = append(out, "font-size:"+m[2]+"px")
		default:
			out = append(out, m[1]+":"+m[2])
		}
	}
	return strings.Join(out, ";")
}
