// Tells that the open job is being changed in another window, in a row of its own below the strip along the upper edge,
// and offers what can be done about it. Fetched when that is first so.

const ROW = document.createElement("template");
ROW.innerHTML = `<div id="two-windows" class="two-windows" role="group" aria-label="Two windows">
  <button type="button">Take over here</button>
  <button type="button">Go on with a copy</button>
</div>`;

let row;

/** Offers it for the job that `keeper` keeps, or takes the offer away. */
export function tell(isBehind, keeper) {
  row ??= made(keeper);
  if (isBehind) {
    document.querySelector(".edge").append(row);
  } else {
    row.remove();
  }
}

function made(keeper) {
  const row = ROW.content.cloneNode(true).firstChild;
  const [take, copy] = row.children;
  take.addEventListener("click", () => keeper.takeOver());
  copy.addEventListener("click", () => keeper.copy());
  return row;
}
