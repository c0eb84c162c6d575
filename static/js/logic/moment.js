/** An instant (text or milliseconds) to the minute, by this device's clock: 2026-11-30 22:15. */
export const momentWords = (instant) => new Date(instant).toLocaleString('sv').slice(0, 16);
