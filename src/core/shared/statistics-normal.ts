/**
 * Probability that a standard normal value is at most `z`.
 *
 * Absolute error below 1e-15, relative error in the lower tail below 1e-8; 0 or 1 beyond 37. Source: J. F. Hart et al., Computer
 * Approximations (1968), algorithm 5666, as printed by G. West, Better Approximations to Cumulative
 * Normal Functions (2005).
 */
export function normalCdf(z: number): number {
  const x = Math.abs(z);
  if (!(x <= 37)) return Number.isNaN(z) ? NaN : z > 0 ? 1 : 0;
  const density = Math.exp((-x * x) / 2);
  let upper: number;
  if (x < 7.071_067_811_865_47) {
    let top = 3.526_249_659_989_11e-2 * x + 0.700_383_064_443_688;
    top = top * x + 6.373_962_203_531_65;
    top = top * x + 33.912_866_078_383;
    top = top * x + 112.079_291_497_871;
    top = top * x + 221.213_596_169_931;
    top = top * x + 220.206_867_912_376;
    let bottom = 8.838_834_764_831_84e-2 * x + 1.755_667_163_182_64;
    bottom = bottom * x + 16.064_177_579_207;
    bottom = bottom * x + 86.780_732_202_946_1;
    bottom = bottom * x + 296.564_248_779_674;
    bottom = bottom * x + 637.333_633_378_831;
    bottom = bottom * x + 793.826_512_519_948;
    bottom = bottom * x + 440.413_735_824_752;
    upper = (density * top) / bottom;
  } else {
    const fraction = x + 1 / (x + 2 / (x + 3 / (x + 4 / (x + 0.65))));
    upper = density / fraction / 2.506_628_274_631;
  }
  return z > 0 ? 1 - upper : upper;
}

/**
 * The standard normal value that is not exceeded with the given probability; exactly 0 for 0.5.
 *
 * Relative error about 1e-15. -Infinity for 0, Infinity for 1, NaN outside [0, 1].
 * Source: M. J. Wichura, Algorithm AS 241, Applied Statistics 37 (1988), 477-484.
 */
export function normalQuantile(probability: number): number {
  if (!(probability > 0 && probability < 1)) {
    return probability === 0 ? -Infinity : probability === 1 ? Infinity : NaN;
  }
  const offset = probability - 0.5;
  if (Math.abs(offset) <= 0.425) return offset * centre(0.180_625 - offset * offset);
  const tail = Math.sqrt(-Math.log(offset < 0 ? probability : 1 - probability));
  const size = tail <= 5 ? nearTail(tail - 1.6) : farTail(tail - 5);
  return offset < 0 ? -size : size;
}

function centre(r: number): number {
  let top = 2509.0809287301227;
  top = top * r + 33430.57558358813;
  top = top * r + 67265.7709270087;
  top = top * r + 45921.95393154987;
  top = top * r + 13731.69376550946;
  top = top * r + 1971.5909503065513;
  top = top * r + 133.14166789178438;
  top = top * r + 3.3871328727963665;
  let bottom = 5226.495278852854;
  bottom = bottom * r + 28729.085735721943;
  bottom = bottom * r + 39307.89580009271;
  bottom = bottom * r + 21213.794301586597;
  bottom = bottom * r + 5394.196021424751;
  bottom = bottom * r + 687.1870074920579;
  bottom = bottom * r + 42.31333070160091;
  bottom = bottom * r + 1;
  return top / bottom;
}

function nearTail(r: number): number {
  let top = 0.0007745450142783414;
  top = top * r + 0.022723844989269184;
  top = top * r + 0.2417807251774506;
  top = top * r + 1.2704582524523684;
  top = top * r + 3.6478483247632045;
  top = top * r + 5.769497221460691;
  top = top * r + 4.630337846156546;
  top = top * r + 1.4234371107496835;
  let bottom = 1.0507500716444169e-9;
  bottom = bottom * r + 0.0005475938084995345;
  bottom = bottom * r + 0.015198666563616457;
  bottom = bottom * r + 0.14810397642748008;
  bottom = bottom * r + 0.6897673349851;
  bottom = bottom * r + 1.6763848301838038;
  bottom = bottom * r + 2.053191626637759;
  bottom = bottom * r + 1;
  return top / bottom;
}

function farTail(r: number): number {
  let top = 2.0103343992922881e-7;
  top = top * r + 0.000027115555687434876;
  top = top * r + 0.0012426609473880784;
  top = top * r + 0.026532189526576124;
  top = top * r + 0.29656057182850487;
  top = top * r + 1.7848265399172913;
  top = top * r + 5.463784911164114;
  top = top * r + 6.657904643501103;
  let bottom = 2.0442631033899397e-15;
  bottom = bottom * r + 1.421511758316446e-7;
  bottom = bottom * r + 0.000018463183175100548;
  bottom = bottom * r + 0.0007868691311456133;
  bottom = bottom * r + 0.014875361290850615;
  bottom = bottom * r + 0.1369298809227358;
  bottom = bottom * r + 0.599832206555888;
  bottom = bottom * r + 1;
  return top / bottom;
}
