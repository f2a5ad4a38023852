// Take answers in the order in which they were asked for.

/**
 * @param {function} ask fetches
 * @param {function} take is given what was fetched, unless what was asked for later came before it
 * @returns a function that asks, and gives what was fetched
 */
export function inOrder(ask, take) {
  let asked = 0, taken = 0;
  return async () => {
    const mine = asked += 1;
    const found = await ask();
    if (mine > taken) {
      taken = mine;
      take(found);
    }
    return found;
  };
}
