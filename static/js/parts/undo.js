/** Says what was done, beside a button that takes it back. */
export function undoable(text, undo) {
	const bar = document.querySelector('.undo');

	bar.querySelector('span').textContent = text;
	bar.hidden = false;
	bar.querySelector('button').onclick = () => {
		bar.hidden = true;
		undo();
	};
}
