package live

import (
	"bytes"
	"encoding/json"

	"tamis/internal/figure"
	"tamis/internal/figure/svg"
)

// block is what a page carries for one live chart. Series that read the same in
// both unit systems, apart from the names of their points, stand once in Shared;
// an option refers to them as {"$": index, "names": […]}.
type block struct {
	Width  float64          `json:"width"`
	Height float64          `json:"height"`
	Shared []any            `json:"shared"`
	Units  []map[string]any `json:"units"` // °C; and °F, where it differs
	Mounts []mount          `json:"mounts"`
}

// mount is what goes around the picture when it is saved.
type mount struct {
	Name   string  `json:"name"`
	Width  float64 `json:"width"`
	Height float64 `json:"height"`
	Left   float64 `json:"left"`
	Top    float64 `json:"top"`
	Words  []word  `json:"words"`
}

type word struct {
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Size float64 `json:"size"`
	Bold bool    `json:"bold,omitempty"`
	Ink  string  `json:"color"`
	Text string  `json:"text"`
}

// Block is the live chart of a figure as the JSON that boot.js reads, in both
// unit systems where they differ. It holds no character that could end the
// element around it: encoding/json writes <, > and & as escapes. Errors are
// those of Options.
func Block(f figure.Figure, s svg.Size) ([]byte, error) {
	systems := []figure.Units{figure.Metric}
	if f.Dual() {
		systems = append(systems, figure.US)
	}
	plan, err := svg.PlanOf(f, s, figure.Metric)
	if err != nil {
		return nil, err
	}
	b := block{Width: plan.Width, Height: plan.Height, Shared: []any{}}
	at := map[string]int{} // a shared series by its bytes
	for _, u := range systems {
		o, err := Options(f, s, u)
		if err != nil {
			return nil, err
		}
		series := o["series"].([]any)
		for i, one := range series {
			ref := map[string]any{}
			fields := one.(map[string]any)
			if names, ok := fields["names"]; ok {
				ref["names"] = names
				delete(fields, "names")
			}
			bytes, err := json.Marshal(fields)
			if err != nil {
				return nil, unfit(err)
			}
			k, ok := at[string(bytes)]
			if !ok {
				k = len(b.Shared)
				at[string(bytes)] = k
				b.Shared = append(b.Shared, fields)
			}
			ref["$"] = k
			series[i] = ref
		}
		b.Units = append(b.Units, o)
		m, err := svg.MountOf(f, s, u)
		if err != nil {
			return nil, err
		}
		end := ""
		if f.Dual() {
			end = map[figure.Units]string{figure.Metric: "-c", figure.US: "-f"}[u]
		}
		out := mount{Name: f.ID + end + ".svg", Width: m.Width, Height: m.Height, Left: m.Left, Top: m.Top}
		for _, w := range m.Words {
			out.Words = append(out.Words, word{X: w.X, Y: w.Y, Size: w.Size, Bold: w.Bold, Ink: colour(w.Role), Text: w.Text})
		}
		b.Mounts = append(b.Mounts, out)
	}
	var out bytes.Buffer
	enc := json.NewEncoder(&out) // escapes <, > and & by default
	if err := enc.Encode(b); err != nil {
		return nil, unfit(err)
	}
	return bytes.TrimSpace(out.Bytes()), nil
}
