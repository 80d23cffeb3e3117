import { Column, Entity, ForeignKey, PrimaryColumn } from 'typeorm';

/** A network that a person has signed in from. */
@Entity('known_networks')
@ForeignKey('Person', ['organisationId', 'personId'], ['organisationId', 'id'], {
  name: 'known_networks_person_fkey',
  onDelete: 'CASCADE',
})
export class KnownNetwork {
  @PrimaryColumn('uuid')
  organisationId!: string;

  @PrimaryColumn('uuid')
  personId!: string;

  @PrimaryColumn('text')
  network!: string;

  @Column('timestamptz')
  lastSignedInAt!: Date;
}
