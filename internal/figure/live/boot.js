// Draws the live charts of a page from the data that it carries. The static
// picture stays until its own chart was drawn, and is what prints.
(function () {
  'use strict';
  if (typeof echarts === 'undefined') return;
  var live = [];

  // Colours are names of variables of the page.
  function colour(name) {
    var m = /^var\((--[a-z0-9-]+)\)$/.exec(name);
    return m ? getComputedStyle(document.documentElement).getPropertyValue(m[1]).trim() : name;
  }
  function painted(v, key) {
    if (typeof v === 'string') return /color$/i.test(key) ? colour(v) : v;
    if (Array.isArray(v)) return key === 'data' ? v : v.map(function (e) { return painted(e, ''); });
    if (!v || typeof v !== 'object') return v;
    var out = {};
    Object.keys(v).forEach(function (k) { out[k] = painted(v[k], k); });
    return out;
  }

  // An option with its shared series put in place and its points named.
  function whole(block, unit) {
    var o = Object.assign({}, block.units[unit]);
    o.series = o.series.map(function (ref) {
      var s = Object.assign({}, block.shared[ref.$]);
      if (ref.names) {
        s.data = s.data.map(function (v, i) { return { value: v, name: ref.names[i] }; });
      }
      return s;
    });
    return painted(o, '');
  }

  function unit(block) {
    var us = document.getElementById('unit-f');
    return us && us.checked && block.units.length > 1 ? 1 : 0;
  }

  function draw(c) {
    // Hidden while its picture fits better, or on paper.
    var room = c.width = c.figure.clientWidth;
    if (room < c.least) {
      c.figure.classList.remove('on');
      return;
    }
    c.figure.classList.add('on');
    try {
      var width = Math.min(room, c.most);
      if (!c.chart) {
        c.chart = echarts.init(c.box, null, { renderer: 'svg', width: width, height: c.block.height });
      } else {
        c.chart.resize({ width: width, height: c.block.height });
      }
      c.chart.setOption(whole(c.block, unit(c.block)), { notMerge: true });
      if (!c.box.querySelector('svg text, svg path')) throw new Error('nothing was drawn');
      c.box.querySelector('svg').setAttribute('aria-hidden', 'true');
    } catch (e) {
      c.figure.classList.remove('on');
      throw e;
    }
  }

  function escaped(s) {
    return s.replace(/[&<>"']/g, function (ch) { return '&#' + ch.charCodeAt(0) + ';'; });
  }

  // The chart as a file: its title, caption, caution, source and date around it.
  function picture(c) {
    var m = c.block.mounts[unit(c.block)];
    var inner = c.box.querySelector('svg').cloneNode(true);
    inner.removeAttribute('style');
    inner.removeAttribute('aria-hidden');
    var extra = inner.getAttribute('width') - c.block.width;
    var width = m.width + Math.max(0, extra);
    var out = '<svg xmlns="http://www.w3.org/2000/svg" width="' + width + '" height="' + m.height +
      '" font-family="Arial, Liberation Sans, Arimo, Helvetica, sans-serif">' +
      '<rect width="' + width + '" height="' + m.height + '" fill="' + colour('var(--fig-paper)') + '"/>';
    m.words.forEach(function (w) {
      out += '<text x="' + w.x + '" y="' + w.y + '" font-size="' + w.size + '"' + (w.bold ? ' font-weight="600"' : '') +
        ' fill="' + colour(w.color) + '">' + escaped(w.text) + '</text>';
    });
    inner.setAttribute('x', m.left);
    inner.setAttribute('y', m.top);
    return out + new XMLSerializer().serializeToString(inner) + '</svg>';
  }

  function save(c) {
    var a = document.createElement('a');
    a.download = c.block.mounts[unit(c.block)].name;
    a.href = 'data:image/svg+xml;charset=utf-8,' + encodeURIComponent(picture(c));
    a.click();
  }

  document.querySelectorAll('script.live-data').forEach(function (data) {
    var figure = data.closest('figure');
    var still = figure.querySelector('.still svg');
    var block = JSON.parse(data.textContent);
    var box = document.createElement('div');
    box.className = 'live';
    // For a screen reader it is the picture that it replaces.
    box.setAttribute('role', 'img');
    box.setAttribute('aria-labelledby', still.getAttribute('aria-labelledby'));
    box.setAttribute('aria-describedby', still.getAttribute('aria-describedby'));
    box.style.height = block.height + 'px';
    data.parentNode.insertBefore(box, data);
    var c = { figure: figure, box: box, block: block, least: Math.min(block.width, 700) * 0.96, most: block.width * 1.4 };
    var button = document.createElement('button');
    button.type = 'button';
    button.className = 'save';
    button.textContent = 'Save this chart as a picture';
    button.addEventListener('click', function () { save(c); });
    figure.querySelector('details').appendChild(button);
    live.push(c);
    draw(c);
  });

  function all() { live.forEach(draw); }
  document.querySelectorAll('input[name=unit]').forEach(function (e) { e.addEventListener('change', all); });
  matchMedia('(prefers-color-scheme: dark)').addEventListener('change', all);
  matchMedia('(prefers-contrast: more)').addEventListener('change', all);
  var waiting = 0;
  window.addEventListener('resize', function () {
    cancelAnimationFrame(waiting);
    waiting = requestAnimationFrame(function () {
      live.forEach(function (c) { if (c.figure.clientWidth !== c.width) draw(c); });
    });
  });
})();
