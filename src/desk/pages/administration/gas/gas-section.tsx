import { GaugesPart } from './gauges-part';
import { PositionsPart } from './positions-part';
import { UnitTypesPart } from './unit-types-part';

export default function GasSection() {
  return (
    <>
      <UnitTypesPart />
      <GaugesPart />
      <PositionsPart />
    </>
  );
}
