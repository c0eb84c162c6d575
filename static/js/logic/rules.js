/*
 * The rules of the server on this tablet: rules.wasm, driven by its own tables
 * (rules/tablet/tablet.h).
 * Questions and answers are the JSON of the API's forms, as plain objects. Nothing here knows a
 * rule or how a struct is laid out.
 */

/* enum member_type, base/form.h */
const TYPES = ['text', 'integer', 'real', 'flag', 'day', 'word', 'uuid', 'object', 'list'];
const DAY_MS = 86400000;
const utf8 = { to: new TextEncoder(), from: new TextDecoder() };

/**
 * @typedef {object} Rules
 * @property {(rulebook: object) => void} adopt  the rulebook, as GET /api/rulebook has it
 * @property {(name: string, question: object) => object} ask  a member that a form does not have,
 *	or a word that it does not know, throws: a page and a server of different versions do not judge
 * @property {string[]} names
 */

/** @param {Promise<Response>|Response|BufferSource} source @returns {Promise<Rules>} */
export async function loadRules(source) {
	const from = await source;
	const bytes = from instanceof ArrayBuffer || ArrayBuffer.isView(from) ? from
		: await from.arrayBuffer();
	return rulesOf((await WebAssembly.instantiate(bytes, {})).instance.exports);
}

function rulesOf(x) {
	const memory = memoryOf(x.memory);
	const layout = layouts(x, memory);
	const writer = writes(x, memory);
	const rules = new Map();

	for (let i = 0, at; (at = x.rule(i)) !== 0; i++)
		rules.set(memory.text(x.rule_name(at)),
			{ at, in: layout(x.rule_in(at)), out: layout(x.rule_out(at)) });
	const rulebook = layout(x.rulebook_in());
	let adopted = false;
	return {
		names: [...rules.keys()],
		adopt(value) {
			x.begin();
			adopted = false;
			writer.object(rulebook, value, x.rulebook_at());
			adopted = true;
		},
		ask(name, question) {
			const rule = rules.get(name);
			if (!rule)
				throw new Error(`there is no rule ${name}`);
			if (!adopted)
				throw new Error('no rulebook is adopted');
			x.begin();
			const at = writer.room(rule.in.size);
			writer.object(rule.in, question, at);
			return read(x, memory, rule.out, x.ask(rule.at, at));
		}
	};
}

/* The module never grows its memory, so one view of it stays good. */
function memoryOf({ buffer }) {
	const bytes = new Uint8Array(buffer);
	return {
		bytes, view: new DataView(buffer),
		text: (at) => utf8.from.decode(bytes.subarray(at, bytes.indexOf(0, at)))
	};
}

/* A form -> {at, size, members: Map(name -> {at, type, offset, form, words})}, each made once. */
function layouts(x, memory) {
	const known = new Map();

	function member(at) {
		const type = TYPES[x.member_type(at)];
		const words = [];
		for (let i = 0, word; type === 'word' && (word = x.member_word(at, i)) !== 0; i++)
			words.push(memory.text(word));
		return { at, type, words, offset: x.member_offset(at),
			form: x.member_form(at) && layout(x.member_form(at)) };
	}
	function layout(form) {
		if (!known.has(form)) {
			const members = new Map();
			known.set(form, { at: form, size: x.form_size(form), members });
			for (let at = x.form_first(form); at !== 0; at = x.member_next(at))
				members.set(memory.text(x.member_name(at)), member(at));
		}
		return known.get(form);
	}
	return layout;
}

function writes(x, { bytes, view }) {
	function room(size) {
		const at = x.room(size);
		if (at === 0)
			throw new Error('the question is too large for this tablet');
		return at;
	}

	function text(value) {
		const encoded = utf8.to.encode(value);
		const at = room(encoded.length + 1);
		bytes.set(encoded, at);
		bytes[at + encoded.length] = 0;
		return at;
	}

	function list({ form }, items, at) {
		const first = room(items.length * form.size);
		items.forEach((item, i) => object(form, item, first + i * form.size));
		view.setUint32(at, first, true);
		view.setUint32(at + 4, items.length, true);
	}

	function word(name, { words }, value) {
		const index = words.indexOf(value);
		if (index < 0)
			throw new Error(`${name} has no word ${value}`);
		return index;
	}

	function one(name, m, value, at) {
		switch (m.type) {
		case 'text': return view.setUint32(at, text(value), true);
		case 'integer': return view.setBigInt64(at, BigInt(value), true);
		case 'real': return view.setFloat64(at, value, true);
		case 'flag': return view.setInt32(at, value ? 1 : 0, true);
		case 'day': return view.setInt32(at, Date.parse(`${value}T00:00:00Z`) / DAY_MS, true);
		case 'word': return view.setInt32(at, word(name, m, value), true);
		case 'object': return object(m.form, value, at);
		case 'list': return list(m, value, at);
		default: throw new Error(`${name} is of a type that the tablet does not write`);
		}
	}

	/* What is not said, or null, is absent. */
	function object(form, value, at) {
		x.clear(form.at, at);
		for (const [name, said] of Object.entries(value)) {
			const m = form.members.get(name);
			if (!m)
				throw new Error(`the rules of this page know no ${name}`);
			if (said !== null && said !== undefined)
				one(name, m, said, at + m.offset);
		}
	}
	return { object, room };
}

/* The members that are there, in the order of the table: the same as form_write gives. */
function read(x, memory, form, at) {
	const { view } = memory;
	const value = (m, here) => {
		switch (m.type) {
		case 'text': return memory.text(view.getUint32(here, true));
		case 'integer': return Number(view.getBigInt64(here, true));
		case 'real': return view.getFloat64(here, true);
		case 'flag': return view.getInt32(here, true) !== 0;
		case 'day': return new Date(view.getInt32(here, true) * DAY_MS).toISOString().slice(0, 10);
		case 'word': return m.words[view.getInt32(here, true)];
		case 'object': return read(x, memory, m.form, here);
		case 'list': return Array.from({ length: view.getUint32(here + 4, true) }, (_, i) =>
			read(x, memory, m.form, view.getUint32(here, true) + i * m.form.size));
		default: return memory.text(here);
		}
	};
	return Object.fromEntries([...form.members].filter(([, m]) => !x.is_absent(m.at, at))
		.map(([name, m]) => [name, value(m, at + m.offset)]));
}
