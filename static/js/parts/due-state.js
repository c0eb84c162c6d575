/**
 * A due state's word with its weight.
 *
 * @param {HTMLElement} el
 * @param {string} state
 * @param {string} [text]
 */
export function dueState(el, state, text = state) {
	el.classList.add('due-state');
	el.dataset.state = state;
	el.textContent = text.replace('_', ' ');
}
