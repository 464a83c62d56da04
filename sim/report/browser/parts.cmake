# The page's own style and script, in the order in which they are joined.
set(page_styles browser/page.css browser/pictures.css browser/live.css browser/print.css)
set(page_scripts browser/hour.js browser/time_row.js browser/maps.js browser/readout.js browser/curves.js
  browser/switches.js browser/start.js)
