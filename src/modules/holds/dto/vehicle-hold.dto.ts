import { ApiProperty } from '@nestjs/swagger';
import { HOLD_REASON_KINDS, type HoldReason, type HoldReasonKind } from '../../../core/due/hold';
import { cautionsFor, type Caution, type CautionContext } from '../../../core/hydraulics/cautions';
import { UNVERIFIED_LAYOUT, type HydraulicLayout } from '../../../core/hydraulics/hydraulic-layout';
import { effectiveLayout } from '../../../core/hydraulics/layout-conclusions';
import type { HoldRecords, VehicleHold } from '../../due-items/vehicle-hold';
import { CautionDto } from './caution.dto';
import { HoldOverrideDto } from './hold-override.dto';
import { ManualHoldDto } from './manual-hold.dto';

export class OverriddenByDto {
  overrideId!: string;
  namedPerson!: string;
  /** Last day on which it counts. */
  @ApiProperty({ format: 'date' })
  untilOn!: string;
}

/** Why a vehicle is not to be released to the road. */
export class HoldReasonDto {
  /** What an override names: stable, and another one on the next occasion. */
  key!: string;
  @ApiProperty({ enum: HOLD_REASON_KINDS })
  kind!: HoldReasonKind;
  text!: string;
  /** First day on which it held, where that is known. */
  @ApiProperty({ format: 'date', nullable: true, type: String })
  sinceOn!: string | null;
  /** The item that is overdue. */
  dueItemId!: string | null;
  /** Code of the safety finding, as the vehicle's hydraulic system shows it. */
  findingCode!: string | null;
  /** The hold that a person placed. */
  holdId!: string | null;
  /** The override in force; null where the reason holds the vehicle. */
  @ApiProperty({ type: OverriddenByDto, nullable: true })
  overriddenBy!: OverriddenByDto | null;
}

/** A vehicle that is on hold now. */
export class HeldVehicleDto {
  vehicleId!: string;
  fleetId!: string;
  depotId!: string;
  registrationMark!: string;
  fleetNumber!: string | null;
  /** IANA zone of the depot. */
  zone!: string;
  /** Today at the depot. */
  @ApiProperty({ format: 'date' })
  todayOn!: string;
  /** True while at least one reason is not overridden: do not release the vehicle to the road. */
  onHold!: boolean;
  /** Every reason, the overridden ones too. */
  reasons!: HoldReasonDto[];
}

export class HeldVehiclePageDto {
  items!: HeldVehicleDto[];
  /** Cursor of the next page; null on the last. */
  next!: string | null;
}

export class VehicleHoldDto extends HeldVehicleDto {
  /** Holds that people placed and nobody has lifted. */
  manualHolds!: ManualHoldDto[];
  /** Overrides in force today. */
  overrides!: HoldOverrideDto[];
  /** To be read before anybody works on the reasons or moves the vehicle. */
  cautions!: CautionDto[];
}

// a vehicle on hold is about to be worked on, and what holds it bears on brakes or pressure
const WORK_TO_RELEASE: readonly CautionContext[] = ['any-work', 'brakes-supply-or-anti-sink'];

export function releaseCautions(layout: HydraulicLayout | null): CautionDto[] {
  const cautions = cautionsFor(effectiveLayout(layout ?? UNVERIFIED_LAYOUT).layout);
  return cautions
    .filter(({ shownFor }: Caution) => WORK_TO_RELEASE.some((context) => shownFor.includes(context)))
    .map((caution) => ({ ...caution, shownFor: [...caution.shownFor] }));
}

export function toHeldVehicleDto({ records, status }: VehicleHold): HeldVehicleDto {
  return {
    vehicleId: records.vehicleId,
    fleetId: records.fleetId,
    depotId: records.depotId,
    registrationMark: records.registrationMark,
    fleetNumber: records.fleetNumber,
    zone: records.zone,
    todayOn: records.todayOn,
    onHold: status.onHold,
    reasons: status.reasons.map((reason) => toReasonDto(reason, records)),
  };
}

export function toVehicleHoldDto(hold: VehicleHold): VehicleHoldDto {
  const { records, status } = hold;
  const { vehicleId } = records;
  return {
    ...toHeldVehicleDto(hold),
    manualHolds: (records.manualHolds ?? []).map(({ id, reason, placedBy, placedAt, revision }) => ({
      id,
      vehicleId,
      reason,
      placedBy,
      placedAt: new Date(placedAt).toISOString(),
      liftedBy: null,
      liftedAt: null,
      liftReason: null,
      revision,
    })),
    overrides: (records.overrides ?? []).map(({ recordedAt, ...override }) => ({
      ...override,
      vehicleId,
      recordedAt: new Date(recordedAt).toISOString(),
      revokedAt: null,
      revokedBy: null,
    })),
    cautions: status.reasons.length === 0 ? [] : releaseCautions(records.layout),
  };
}

function toReasonDto(reason: HoldReason, { holdingItems, overrides }: HoldRecords): HoldReasonDto {
  const { key, kind, sentence, since, overriddenBy } = reason;
  // a key is the kind and what it is about: the item and its interval, the finding, the hold
  const subject = key.slice(kind.length + 1);
  const item = (holdingItems ?? []).find(
    ({ key: itemKey, cycle, failedTest }) =>
      subject === (kind === 'failed-test' ? failedTest?.completionId : `${itemKey}:${cycle}`),
  );
  const override = (overrides ?? []).find(({ id }) => id === overriddenBy?.overrideId);
  return {
    key,
    kind,
    text: sentence,
    sinceOn: since,
    dueItemId: item?.id ?? null,
    findingCode: kind === 'finding' ? subject : null,
    holdId: kind === 'manual' ? subject : null,
    overriddenBy:
      override === undefined
        ? null
        : { overrideId: override.id, namedPerson: override.namedPerson, untilOn: override.untilOn },
  };
}
