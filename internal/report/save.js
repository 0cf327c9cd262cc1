// Lets a reader keep any figure as a picture. Title, caption, caution, source and
// date go into the file; without this script the figures are the same.
(function () {
  'use strict';
  var looks = document.getElementById('looks').textContent;
  var feet = JSON.parse(document.getElementById('feet').textContent);
  var margin = 20, least = 440;

  function resolved(css) {
    var root = getComputedStyle(document.documentElement);
    return css.replace(/var\((--[a-z0-9-]+)\)/g, function (all, name) { return root.getPropertyValue(name).trim(); });
  }

  // What stands for the other unit goes.
  function only(node) {
    var us = document.getElementById('unit-f').checked;
    var copy = node.cloneNode(true);
    copy.querySelectorAll(us ? '.c,t-c' : '.f,t-f').forEach(function (e) { e.remove(); });
    return copy;
  }
  function words(node) { return only(node).textContent.replace(/[ \n\t]+/g, ' ').trim(); }

  function escaped(s) {
    return s.replace(/[&<>"']/g, function (ch) { return '&#' + ch.charCodeAt(0) + ';'; });
  }

  function picture(figure) {
    var all = Array.prototype.slice.call(figure.querySelectorAll('svg.fig'));
    var svg = all.filter(function (s) { return s.getBoundingClientRect().width > 0; })[0] || all[0];
    var size = svg.viewBox.baseVal, width = Math.max(size.width, least);
    var ruler = document.createElement('canvas').getContext('2d');
    var y = margin, lines = '';
    function write(text, px, weight, lead, role) {
      ruler.font = weight + ' ' + px + 'px Arial,Liberation Sans,Helvetica,sans-serif';
      var line = '';
      function flush() {
        y += lead;
        lines += '<text x="' + margin + '" y="' + y + '" font-size="' + px + '" font-weight="' + weight + '" fill="var(--fig-' + role + ')">' + escaped(line) + '</text>';
      }
      text.split(' ').forEach(function (word) {
        var longer = line ? line + ' ' + word : word;
        if (line && ruler.measureText(longer).width > width * 0.97) {
          flush();
          longer = word;
        }
        line = longer;
      });
      if (line) flush();
    }
    write(words(figure.querySelector('h2,h3,h4')), 17, 600, 22, 'ink');
    var top = y + 12;
    y = top + size.height + 6;
    write(words(figure.querySelector('figcaption')), 12, 400, 15, 'muted');
    y += 4;
    feet[+figure.dataset.foot || 0].forEach(function (t) {
      write(document.getElementById('unit-f').checked ? t[t.length - 1] : t[0], 12, 400, 15, 'ink');
    });
    var inner = only(svg);
    ['class', 'role', 'aria-labelledby', 'aria-describedby'].forEach(function (a) { inner.removeAttribute(a); });
    inner.setAttribute('class', 'fig');
    inner.setAttribute('x', margin);
    inner.setAttribute('y', top);
    inner.setAttribute('width', size.width);
    inner.setAttribute('height', size.height);
    var w = width + 2 * margin, h = y + margin;
    return resolved('<svg xmlns="http://www.w3.org/2000/svg" width="' + w + '" height="' + h + '" viewBox="0 0 ' + w + ' ' + h +
      '" font-family="Arial,Liberation Sans,Helvetica,sans-serif"><style>' + looks + '</style><rect width="' + w + '" height="' + h +
      '" fill="var(--fig-paper)"/>' + lines + new XMLSerializer().serializeToString(inner) + '</svg>');
  }

  document.querySelectorAll('figure').forEach(function (figure) {
    if (figure.querySelector('script.live-data')) return; // its chart saves itself
    var button = document.createElement('button');
    button.type = 'button';
    button.className = 'save';
    button.textContent = 'Save this figure as a picture';
    button.addEventListener('click', function () {
      var a = document.createElement('a');
      a.download = figure.id + '.svg';
      a.href = 'data:image/svg+xml;charset=utf-8,' + encodeURIComponent(picture(figure));
      a.click();
    });
    (figure.querySelector('details') || figure).appendChild(button);
  });
})();
