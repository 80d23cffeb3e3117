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
  let top = 2.509_080_928_730_122_6727e3;
  top = top * r + 3.343_057_558_358_812_8105e4;
  top = top * r + 6.726_577_092_700_870_0853e4;
  top = top * r + 4.592_195_393_154_987_1457e4;
  top = top * r + 1.373_169_376_550_946_1125e4;
  top = top * r + 1.971_590_950_306_551_4427e3;
  top = top * r + 1.331_416_678_917_843_7745e2;
  top = top * r + 3.387_132_872_796_366_6080;
  let bottom = 5.226_495_278_852_854_561e3;
  bottom = bottom * r + 2.872_908_573_572_194_2674e4;
  bottom = bottom * r + 3.930_789_580_009_271_061e4;
  bottom = bottom * r + 2.121_379_430_158_659_5867e4;
  bottom = bottom * r + 5.394_196_021_424_751_1077e3;
  bottom = bottom * r + 6.871_870_074_920_579_083e2;
  bottom = bottom * r + 4.231_333_070_160_091_1252e1;
  bottom = bottom * r + 1;
  return top / bottom;
}

function nearTail(r: number): number {
  let top = 7.745_450_142_783_414_07640e-4;
  top = top * r + 2.272_384_498_926_918_45833e-2;
  top = top * r + 2.417_807_251_774_506_11770e-1;
  top = top * r + 1.270_458_252_452_368_38258;
  top = top * r + 3.647_848_324_763_204_60504;
  top = top * r + 5.769_497_221_460_691_40550;
  top = top * r + 4.630_337_846_156_545_29590;
  top = top * r + 1.423_437_110_749_683_57734;
  let bottom = 1.050_750_071_644_416_84324e-9;
  bottom = bottom * r + 5.475_938_084_995_344_94600e-4;
  bottom = bottom * r + 1.519_866_656_361_645_71966e-2;
  bottom = bottom * r + 1.481_039_764_274_800_74590e-1;
  bottom = bottom * r + 6.897_673_349_851_000_04550e-1;
  bottom = bottom * r + 1.676_384_830_183_803_84940;
  bottom = bottom * r + 2.053_191_626_637_758_82187;
  bottom = bottom * r + 1;
  return top / bottom;
}

function farTail(r: number): number {
  let top = 2.010_334_399_292_288_13265e-7;
  top = top * r + 2.711_555_568_743_487_57815e-5;
  top = top * r + 1.242_660_947_388_078_43860e-3;
  top = top * r + 2.653_218_952_657_612_30930e-2;
  top = top * r + 2.965_605_718_285_048_91230e-1;
  top = top * r + 1.784_826_539_917_291_33580;
  top = top * r + 5.463_784_911_164_114_36990;
  top = top * r + 6.657_904_643_501_103_77720;
  let bottom = 2.044_263_103_389_939_78564e-15;
  bottom = bottom * r + 1.421_511_758_316_445_88870e-7;
  bottom = bottom * r + 1.846_318_317_510_054_68180e-5;
  bottom = bottom * r + 7.868_691_311_456_132_59100e-4;
  bottom = bottom * r + 1.487_536_129_085_061_48525e-2;
  bottom = bottom * r + 1.369_298_809_227_358_05310e-1;
  bottom = bottom * r + 5.998_322_065_558_879_37690e-1;
  bottom = bottom * r + 1;
  return top / bottom;
}
