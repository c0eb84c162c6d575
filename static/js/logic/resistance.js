/** Temperature coefficients of resistance at 20 °C, per K (IEC 60228, annex: copper, aluminium). */
const ALPHA_20 = { copper: 0.00393, aluminium: 0.00403 };

/**
 * What one reading comes to, for the eye of the person who takes it; the server computes its own.
 * All members may be null. Uncorrected for temperature when it is a contact alone, or when the
 * temperature or the material is not known.
 *
 * @param {{quantity: string, forward_uv, reverse_uv, current_a, shown_uohm, lead_uohm,
 *	rail_uv, rail_m, joint_m, temp_c}} reading
 * @param {string|null} material  of the cable
 * @returns {{r_uohm: number|null, r20_uohm: number|null, thermal_uv: number|null,
 *	equivalent_m: number|null, added_m: number|null, one_direction: boolean}}
 *	added_m: what the joint adds to the rail that lies between the clips anyway
 */
export function readingResult(reading, material) {
	const result = { r_uohm: null, r20_uohm: null, thermal_uv: null, equivalent_m: null, added_m: null, one_direction: false };
	const drop_uv = meanDrop(reading, result);

	if (reading.quantity === 'rail_drop') {
		if (drop_uv !== null && reading.rail_uv && reading.rail_m)
			result.equivalent_m = drop_uv / reading.rail_uv * reading.rail_m;
		if (result.equivalent_m !== null && reading.joint_m !== null)
			result.added_m = result.equivalent_m - reading.joint_m;
		return result;
	}
	if (reading.shown_uohm !== null) {
		result.r_uohm = reading.shown_uohm;
		result.one_direction = false;
	} else if (drop_uv !== null && reading.current_a) {
		result.r_uohm = drop_uv / reading.current_a;
	}
	if (result.r_uohm === null)
		return result;
	if (reading.lead_uohm !== null)
		result.r_uohm -= reading.lead_uohm;
	const alpha = ALPHA_20[material];
	if (reading.quantity === 'end_to_end' && reading.temp_c !== null && alpha)
		result.r20_uohm = result.r_uohm / (1 + alpha * (reading.temp_c - 20));
	return result;
}

/* Current reversal takes the thermal voltage out: (V+ - V-) / 2. */
function meanDrop(reading, result) {
	const { forward_uv, reverse_uv } = reading;

	if (forward_uv === null && reverse_uv === null)
		return null;
	if (forward_uv !== null && reverse_uv !== null) {
		result.thermal_uv = (forward_uv + reverse_uv) / 2;
		return (forward_uv - reverse_uv) / 2;
	}
	result.one_direction = true;
	return forward_uv !== null ? forward_uv : -reverse_uv;
}
