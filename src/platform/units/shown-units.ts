/** In what people read distances and pressures; the API itself keeps to kilometres and bar. */
export const distanceUnits = ['km', 'mi'] as const;
export const pressureUnits = ['bar', 'kPa', 'psi'] as const;

export type DistanceUnit = (typeof distanceUnits)[number];
export type PressureUnit = (typeof pressureUnits)[number];
