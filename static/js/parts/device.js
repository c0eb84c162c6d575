import { get } from '../api.js';

/** True where fingers are the pointer: what was typed there was typed at the track. */
export const isTablet = () => matchMedia('(pointer: coarse)').matches;

/** The register's time zone, which may be another than this device's; null: not known. */
export const zoneHere = (within) => get('/api/register', within)
	.then(({ zone, machine_zone: machine }) => zone ?? machine, () => null);
