// What the charts of a page need of ECharts, and no more. The renderer draws
// rectangles from x0, y0 to x1, y1 in the units of the axes: bars, spans of a
// timeline, fields of a table and windows are all made of it.
import * as core from 'echarts/core';
import { LineChart, ScatterChart, CustomChart } from 'echarts/charts';
import { GridComponent, TooltipComponent, MarkLineComponent, MarkAreaComponent } from 'echarts/components';
import { SVGRenderer } from 'echarts/renderers';

core.use([LineChart, ScatterChart, CustomChart, GridComponent, TooltipComponent,
  MarkLineComponent, MarkAreaComponent, SVGRenderer]);

core.registerCustomSeries('rectangle', function (params, api) {
  const a = api.coord([api.value(0), api.value(1)]);
  const b = api.coord([api.value(2), api.value(3)]);
  const area = params.coordSys, outside = params.itemPayload && params.itemPayload.outside;
  const clamp = (v, lo, hi) => Math.min(Math.max(v, lo), hi);
  const x0 = clamp(Math.min(a[0], b[0]), area.x, area.x + area.width);
  const x1 = clamp(Math.max(a[0], b[0]), area.x, area.x + area.width);
  // A bar in a lane lies below the data.
  const low = outside ? -Infinity : area.y, high = outside ? Infinity : area.y + area.height;
  const y0 = clamp(Math.min(a[1], b[1]), low, high);
  const y1 = clamp(Math.max(a[1], b[1]), low, high);
  return {
    type: 'rect',
    shape: { x: x0, y: y0, width: Math.max(x1 - x0, 1), height: Math.max(y1 - y0, 1) },
    style: api.style()
  };
});

export const init = core.init, version = core.version, getInstanceByDom = core.getInstanceByDom;
