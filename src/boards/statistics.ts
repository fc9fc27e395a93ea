// What people write beside figures that they worked out from the others.
const STATISTICS = new Set(
  `mean|average|avg|av|avge|ave|median|mode|sd|s.d|std|stdev|std dev|st dev|st. dev|standard deviation|sigma|σ|
  min|minimum|max|maximum|range|spread|sum|total|count|var|variance|cv|error|deviation|dev|diff|difference|delta|
  Δ|taper|ø|⌀|x̄|x-bar|xbar|mittel|mittelwert|mw|schnitt|durchschnitt|stabw|standardabweichung|spannweite|summe|
  anzahl|differenz|moyenne|moy|écart-type|ecart-type|écart type|ecart type|médiane|étendue|somme|écart|media|
  promedio|mediana|desviación|desv|suma|gemiddelde|som|verschil|gemiddeld|medel|medelvärde|snitt|średnia|média|
  scarto|somma|mín|máx|minimo|massimo|máximo|mínimo`
    .split('|')
    .map((word) => word.trim().toLowerCase()),
);

/** True for the label of a figure worked out from the others: `Mean`, `avg.`, `SD (mm)`, `max of row`. */
export function isStatistic(text: string): boolean {
  const label = text
    .toLowerCase()
    .replace(/[([{].*$/, '')
    .replace(/[\s:.=]+$/, '')
    .trim();
  const [first = '', ...further] = label.split(' ');
  return STATISTICS.has(label) || (further.length > 0 && first.length > 2 && STATISTICS.has(first));
}
