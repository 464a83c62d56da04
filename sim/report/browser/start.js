// Everything is on the page already; what moves is added here.
const maps = dataOf('maps-data'), curves = dataOf('curves-data');
document.documentElement.classList.add('scripted');
if (curves) {
  startSwitches(curves);
  startCurves(curves);
}
if (maps) startMaps(maps);
const slider = byId('film-time') ?? byId('day-time');
if (slider) hour.set((maps ?? curves).at[Number(slider.value)]);
