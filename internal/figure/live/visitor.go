package live

import (
	"encoding/json"

	"github.com/go-echarts/go-echarts/v2/charts"
)

// gaps adds what ECharts knows and go-echarts has no field for, and drops what
// go-echarts writes unasked.
type gaps struct {
	charts.BaseConfigurationVisitor
	series  []map[string]any // one a series, in order
	tooltip map[string]any
	grid    map[string]any
	err     error
}

// Visit implements charts.ConfigurationVisitor; it runs last.
func (g *gaps) Visit(chart map[string]any) {
	for _, unasked := range []string{"title", "legend", "toolbox", "color"} {
		delete(chart, unasked)
	}
	for name, more := range map[string][]map[string]any{"series": g.series, "tooltip": {g.tooltip}, "grid": {g.grid}} {
		plain, err := generic(chart[name])
		if err != nil {
			g.err = err
			return
		}
		list, many := plain.([]any)
		if !many {
			list = []any{plain}
		}
		for i, one := range list {
			if fields, ok := one.(map[string]any); ok && i < len(more) {
				for k, v := range more[i] {
					fields[k] = v
				}
			}
		}
		chart[name] = plain
	}
}

// generic is v as its JSON reads.
func generic(v any) (out any, err error) {
	b, err := json.Marshal(v)
	if err != nil {
		return nil, err
	}
	err = json.Unmarshal(b, &out)
	return out, err
}
