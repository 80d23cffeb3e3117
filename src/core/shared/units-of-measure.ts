// Every factor here is exact by definition, save the last digits of the pound-force per square inch.

/** Kilometres in one statute mile; exact (international yard and pound agreement of 1959). */
export const MILE_KM = 1.609344;

/** Bar in one pound-force per square inch: 0.45359237 kg × 9.80665 m/s² over (0.0254 m)². */
export const PSI_BAR = (0.45359237 * 9.80665) / (0.0254 * 0.0254) / 100_000;

/** Bar in one kilogram-force per square centimetre (the technical atmosphere); exact. */
export const KGF_PER_CM2_BAR = 0.980665;

/** Bar in one standard atmosphere; exact. */
export const ATMOSPHERE_BAR = 1.01325;

/** Kilometres in `miles` statute miles. Not rounded. */
export function kmFromMiles(miles: number): number {
  return miles * MILE_KM;
}

/** Statute miles in `km` kilometres. Not rounded. */
export function milesFromKm(km: number): number {
  return km / MILE_KM;
}

/** Bar from pounds-force per square inch; gauge stays gauge, absolute stays absolute. Not rounded. */
export function barFromPsi(psi: number): number {
  return psi * PSI_BAR;
}

/** Pounds-force per square inch from bar; gauge stays gauge, absolute stays absolute. Not rounded. */
export function psiFromBar(bar: number): number {
  return bar / PSI_BAR;
}

/** Bar from kilograms-force per square centimetre; gauge stays gauge. Not rounded. */
export function barFromKgfPerCm2(kgfPerCm2: number): number {
  return kgfPerCm2 * KGF_PER_CM2_BAR;
}

/** Bar from standard atmospheres. Not rounded. */
export function barFromAtmospheres(atmospheres: number): number {
  return atmospheres * ATMOSPHERE_BAR;
}

/** Degrees Celsius from degrees Fahrenheit. Not rounded. */
export function celsiusFromFahrenheit(fahrenheit: number): number {
  return ((fahrenheit - 32) * 5) / 9;
}

/** Kelvin from degrees Celsius; 0 °C is 273.15 K by definition. Not rounded. */
export function kelvinFromCelsius(celsius: number): number {
  return celsius + 273.15;
}
