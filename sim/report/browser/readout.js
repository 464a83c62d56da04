// Numbers and times in words.
const noBreak = '\u00a0';
const numberWords = (value, panel) => {
  if (value === null || value === undefined) return 'not known';
  const words = value.toFixed(panel.decimals) + noBreak + panel.unit;
  return panel.full !== null && value >= panel.full ? words + panel.fullWords : words;
};

/** "13:05", in a run of days "day 2, 13:05". */
const clockWords = (data, at) => {
  const minutes = Math.round((data.start + at) * 60);
  const long = data.end > 24.5;
  const inDay = !long && minutes === 1440 ? 1440 : minutes % 1440;
  const two = (number) => String(number).padStart(2, '0');
  const clock = `${two(Math.floor(inDay / 60))}:${two(inDay % 60)}`;
  return long ? `day ${Math.floor(minutes / 1440) + 1}, ${clock}` : clock;
};
