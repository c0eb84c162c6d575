import { bondOfCode } from '../logic/address.js';
import { make } from '../parts/template.js';
import { button, group, part } from './pieces.js';

const LOOKS_MS = 250;

/** Whether this tablet's browser reads codes; where it does not, its own camera does. */
export const canRead = () => 'BarcodeDetector' in globalThis && Boolean(navigator.mediaDevices);

/**
 * The camera, until it has seen the code of a bond.
 *
 * @param {HTMLElement} root
 * @param {{pack: object}} data
 * @param {{found(bondId: number): void, leave(): void}} wishes
 */
export async function mountCode(root, { pack }, { found, leave }) {
	const video = Object.assign(make('video'), { muted: true, playsInline: true });
	const said = Object.assign(make('p', 'Hold the code before the camera.'), { role: 'status' });
	let stream = null;

	function end() {
		stream?.getTracks().forEach((track) => track.stop());
		stream = null;
	}

	root.replaceChildren(part('Read a code', video, said, group(button('Back to the walk', () => {
		end();
		leave();
	}))));
	addEventListener('hashchange', end, { once: true });
	try {
		const detector = new BarcodeDetector({ formats: ['qr_code'] });

		stream = await navigator.mediaDevices.getUserMedia(
			{ video: { facingMode: 'environment' } });
		video.srcObject = stream;
		await video.play();
		while (stream) {
			for (const { rawValue } of await detector.detect(video))
				see(rawValue);
			await new Promise((resolve) => { setTimeout(resolve, LOOKS_MS); });
		}
	} catch {
		end();
		said.textContent =
			'The camera cannot be used here. Find the bond by its label in the walk.';
	}

	function see(text) {
		const id = bondOfCode(text, location.origin);

		if (id === null) {
			said.textContent = 'That is no code of a bond of this register.';
		} else if (!pack.bond_rows.some(({ bond_id: of }) => of === id)) {
			said.replaceChildren('That bond is not in this round. ', Object.assign(make('a',
				'Open its page'), { href: `/bonds/${id}` }));
		} else {
			end();
			found(id);
		}
	}
}
