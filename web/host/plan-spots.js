// The places and routes in the picture of the vehicle plan, as elements.

/** Every place or every route in `sheet`; without a sort both, in the order of the picture. */
export function spots(sheet, sort) {
  return [...sheet.querySelectorAll(sort ? `[data-${sort}]` : "[data-place], [data-route]")];
}

/** The place or route that an element of the picture belongs to. */
export function spotOf(element) {
  return element.closest("[data-place], [data-route]");
}

/** What a place or route is called in the words that ask. */
export function nameOf({ dataset: { place, route } }) {
  return place ? `place ${place}` : route ? `route ${route}` : null;
}

/** The first of `l1`, `l2`, … that is not taken. */
export function free(letter, taken) {
  let n = 1;
  while (taken.includes(`${letter}${n}`)) {
    n += 1;
  }
  return `${letter}${n}`;
}

/** The place that lies within so many centimetres of a point, else the route if there may be one. */
export function near(sheet, [x, y], within, withRoutes) {
  const nearest = (spots, far) => {
    const all = spots.map((spot) => [far(spot), spot]).filter(([far]) => far <= within);
    return all.sort(([a], [b]) => a - b)[0]?.[1];
  };
  const places = new Map(spots(sheet, "place").map((spot) => [spot.dataset.place, spot]));
  const toPlace = ({ dataset }) => Math.hypot(dataset.x - x, dataset.y - y);
  const toRoute = ({ dataset: { from, to } }) => {
    const [a, b] = [from, to].map((id) => places.get(id).dataset).map(({ x, y }) => [Number(x), Number(y)]);
    const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
    const along = Math.min(Math.max(((x - a[0]) * dx + (y - a[1]) * dy) / (dx * dx + dy * dy || 1), 0), 1);
    return Math.hypot(a[0] + along * dx - x, a[1] + along * dy - y);
  };
  return nearest(spots(sheet, "place"), toPlace) ?? (withRoutes ? nearest(spots(sheet, "route"), toRoute) : undefined);
}
