import { SKELMIRE, TARNHOLME, VALTARNE } from './depots';

/** A bay as the operator describes it; names and people are invented. */
export interface DemoBay {
  name: string;
  kinds: readonly string[];
}

export interface DemoTechnician {
  name: string;
  competences: readonly string[];
  /** first and last hour of a shift, Monday to Friday */
  shift: readonly [from: string, until: string];
}

export interface DemoWorkshop {
  externalKey: string;
  name: string;
  zone: string;
  holidayRegion: string;
  vehicleStay: 'over-breaks' | 'overnight';
  weekdays: readonly { from: string; until: string }[];
  saturday: readonly { from: string; until: string }[];
  bays: readonly DemoBay[];
  technicians: readonly DemoTechnician[];
  /** keys of the depots whose vehicles come here */
  depotKeys: readonly string[];
}

const HYDRAULICS = ['hydraulics', 'brakes'];
const GAS = ['hydraulics', 'brakes', 'pressure-equipment', 'steering'];
const EARLY = ['07:30', '16:00'] as const;
const LATE = ['09:30', '18:00'] as const;

/** Two workshops of the operator, nine bays and fourteen people. */
export const TARN_VALLEY_WORKSHOPS: readonly DemoWorkshop[] = [
  {
    externalKey: 'tarnholme-workshop',
    name: 'Tarnholme workshop',
    zone: TARNHOLME.zone,
    holidayRegion: 'GB-ENG',
    vehicleStay: 'overnight',
    weekdays: [
      { from: '07:30', until: '12:30' },
      { from: '13:00', until: '18:00' },
    ],
    saturday: [{ from: '08:00', until: '12:00' }],
    bays: [
      { name: 'Lift 1', kinds: ['lift', 'flat'] },
      { name: 'Lift 2', kinds: ['lift', 'flat'] },
      { name: 'Lift 3', kinds: ['lift', 'flat'] },
      { name: 'Flat 4', kinds: ['flat'] },
      { name: 'Flat 5', kinds: ['flat'] },
    ],
    technicians: [
      { name: 'Alder', competences: GAS, shift: EARLY },
      { name: 'Ash', competences: GAS, shift: LATE },
      { name: 'Beech', competences: HYDRAULICS, shift: EARLY },
      { name: 'Birch', competences: HYDRAULICS, shift: LATE },
      { name: 'Elm', competences: HYDRAULICS, shift: EARLY },
      { name: 'Hazel', competences: ['brakes'], shift: EARLY },
      { name: 'Holly', competences: [], shift: EARLY },
      { name: 'Larch', competences: [], shift: LATE },
    ],
    depotKeys: [TARNHOLME.externalKey, SKELMIRE.externalKey],
  },
  {
    externalKey: 'valtarne-workshop',
    name: 'Valtarne workshop',
    zone: VALTARNE.zone,
    holidayRegion: 'FR',
    vehicleStay: 'over-breaks',
    weekdays: [
      { from: '08:00', until: '12:00' },
      { from: '13:30', until: '17:30' },
    ],
    saturday: [],
    bays: [
      { name: 'Pont 1', kinds: ['lift', 'flat'] },
      { name: 'Pont 2', kinds: ['lift', 'flat'] },
      { name: 'Fosse', kinds: ['pit', 'flat'] },
      { name: 'Sol', kinds: ['flat'] },
    ],
    technicians: [
      { name: 'Maple', competences: GAS, shift: ['08:00', '17:30'] },
      { name: 'Oak', competences: GAS, shift: ['08:00', '17:30'] },
      { name: 'Poplar', competences: HYDRAULICS, shift: ['08:00', '17:30'] },
      { name: 'Rowan', competences: HYDRAULICS, shift: ['08:00', '17:30'] },
      { name: 'Willow', competences: [], shift: ['08:00', '17:30'] },
      { name: 'Yew', competences: [], shift: ['08:00', '17:30'] },
    ],
    depotKeys: [VALTARNE.externalKey],
  },
];
