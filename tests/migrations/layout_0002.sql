-- A book in layout 0002, as first shipped, with invented entries. Never change this file.
PRAGMA foreign_keys=OFF;
PRAGMA application_id=1281714290;
BEGIN TRANSACTION;
CREATE TABLE alembic_version (
	version_num VARCHAR(32) NOT NULL, 
	CONSTRAINT alembic_version_pkc PRIMARY KEY (version_num)
);
INSERT INTO "alembic_version" VALUES('0002');
CREATE TABLE charges (
	id INTEGER NOT NULL, 
	pot_id INTEGER NOT NULL, 
	time INTEGER NOT NULL, 
	material TEXT NOT NULL, 
	mass_kg DOUBLE NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_charges PRIMARY KEY (id), 
	CONSTRAINT ck_charges_mass_possible CHECK (mass_kg > 0 AND mass_kg <= 10000), 
	CONSTRAINT fk_charges_pot_id_pots FOREIGN KEY(pot_id) REFERENCES pots (id) ON DELETE RESTRICT
);
INSERT INTO "charges" VALUES(1,1,1773523800000000,'batch',12.5,'damp');
CREATE TABLE equipment (
	id INTEGER NOT NULL, 
	kind TEXT NOT NULL, 
	name TEXT NOT NULL, 
	settings TEXT NOT NULL, 
	CONSTRAINT pk_equipment PRIMARY KEY (id), 
	CONSTRAINT ck_equipment_kind_known CHECK (kind IN ('lehr', 'furnace')), 
	CONSTRAINT uq_equipment_kind_name UNIQUE (kind, name)
);
INSERT INTO "equipment" VALUES(1,'lehr','Net loft lehr','{"format_version": 1, "kind": "lehr", "lehr": {"name": "Net loft lehr", "cooling_time_constant": 16200.0, "ambient": 293.15, "max_heating_rate": 0.05555555555555555, "max_temperature": 923.15, "thermocouple_offset": 0.0, "controller": {"entry": "rate", "unit": "C", "max_segments": 8, "rate_step": 1.0}}}');
INSERT INTO "equipment" VALUES(2,'furnace','Shore furnace','{"format_version": 1, "kind": "furnace"}');
CREATE TABLE glass_versions (
	id INTEGER NOT NULL, 
	glass_id INTEGER NOT NULL, 
	number INTEGER NOT NULL, 
	snapshot TEXT NOT NULL, 
	saved_at INTEGER NOT NULL, 
	CONSTRAINT pk_glass_versions PRIMARY KEY (id), 
	CONSTRAINT ck_glass_versions_number_from_one CHECK (number >= 1), 
	CONSTRAINT fk_glass_versions_glass_id_glasses FOREIGN KEY(glass_id) REFERENCES glasses (id) ON DELETE CASCADE, 
	CONSTRAINT uq_glass_versions_glass_id_number UNIQUE (glass_id, number)
);
INSERT INTO "glass_versions" VALUES(1,1,1,'{"format_version": 1, "kind": "glass", "glass": {"name": "quay clear", "composition": {"weight_percent": {"SiO2": 72.0, "Na2O": 17.0, "CaO": 11.0}, "original_total": 100.0, "basis": "wt%", "warnings": []}, "measured": {"strain_point": null, "annealing_point": null, "softening_point": null, "working_point": null, "melting_point": null, "expansion": null, "density": null, "youngs_modulus": null, "source": ""}, "note": "for prisms", "source": "invented"}}',1795601478281373);
INSERT INTO "glass_versions" VALUES(2,1,2,'{"format_version": 2, "kind": "glass", "glass": {"name": "quay clear", "composition": {"weight_percent": {"SiO2": 71.9640179910045, "Na2O": 16.991504247876062, "CaO": 10.994502748625688, "P2O5": 0.04997501249375313}, "original_total": 100.05, "basis": "wt%", "warnings": [], "uncertainty": {"Na2O": 0.29985007496251875, "P2O5": 0.028853086916023278}, "notes": ["A limit was read as half of it, evenly likely from none up to the limit: P2O5 “<0.1” as 0.05 ± 0.029 %.", "The error given for Na2O was taken as one standard error."]}, "measured": {"strain_point": null, "strain_point_error": null, "annealing_point": null, "annealing_point_error": null, "softening_point": null, "softening_point_error": null, "working_point": null, "working_point_error": null, "melting_point": null, "melting_point_error": null, "expansion": null, "expansion_error": null, "density": null, "density_error": null, "youngs_modulus": null, "youngs_modulus_error": null, "source": "", "viscosities": []}, "note": "for prisms", "source": "invented"}}',1775030400000000);
INSERT INTO "glass_versions" VALUES(3,1,3,'{"format_version": 2, "kind": "glass", "glass": {"name": "quay clear", "composition": {"weight_percent": {"SiO2": 72.0, "Na2O": 17.0, "CaO": 11.0}, "original_total": 100.0, "basis": "wt%", "warnings": [], "uncertainty": {}, "notes": []}, "measured": {"strain_point": null, "strain_point_error": null, "annealing_point": null, "annealing_point_error": null, "softening_point": null, "softening_point_error": null, "working_point": null, "working_point_error": null, "melting_point": null, "melting_point_error": null, "expansion": null, "expansion_error": null, "density": null, "density_error": null, "youngs_modulus": null, "youngs_modulus_error": null, "source": "", "viscosities": []}, "note": "for prisms", "source": "invented"}}',1775116800000000);
CREATE TABLE "glasses" (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	CONSTRAINT pk_glasses PRIMARY KEY (id), 
	CONSTRAINT uq_glasses_name UNIQUE (name)
);
INSERT INTO "glasses" VALUES(1,'quay clear');
CREATE TABLE imports (
	id INTEGER NOT NULL, 
	run_id INTEGER NOT NULL, 
	file_name TEXT NOT NULL, 
	file_hash TEXT NOT NULL, 
	imported_at INTEGER NOT NULL, 
	added INTEGER NOT NULL, 
	skipped INTEGER NOT NULL, 
	CONSTRAINT pk_imports PRIMARY KEY (id), 
	CONSTRAINT ck_imports_counts_not_negative CHECK (added >= 0 AND skipped >= 0), 
	CONSTRAINT fk_imports_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id) ON DELETE CASCADE
);
INSERT INTO "imports" VALUES(1,1,'night.csv','abababababababababababababababababababababababababababababababab',1795601478321499,6,0);
CREATE TABLE loads (
	id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	equipment_id INTEGER, 
	button_time INTEGER NOT NULL, 
	out_by INTEGER, 
	snapshot TEXT NOT NULL, 
	saved_at INTEGER NOT NULL, 
	CONSTRAINT pk_loads PRIMARY KEY (id), 
	CONSTRAINT ck_loads_out_after_button CHECK (out_by > button_time), 
	CONSTRAINT fk_loads_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE SET NULL
);
INSERT INTO "loads" VALUES(1,'Two prisms',1,1773523800000000,1773667800000000,'{"format_version": 1, "kind": "load", "load": {"name": "Two prisms", "pieces": [{"name": "Deck prism", "count": 2, "shape": "cylinder", "glass": "quay clear", "wall_thickness": null, "base_thickness": null, "diameter": 0.05, "height": null, "cooled_from": "both", "base_cooled_from": "one"}, {"name": "Float", "count": 8, "shape": "plate", "glass": "quay clear", "wall_thickness": 0.003, "base_thickness": null, "diameter": null, "height": null, "cooled_from": "both", "base_cooled_from": "one"}], "glasses": [{"name": "quay clear", "glass": {"name": "quay clear", "composition": {"weight_percent": {"SiO2": 72.0, "Na2O": 17.0, "CaO": 11.0}, "original_total": 100.0, "basis": "wt%", "warnings": []}, "measured": {"strain_point": null, "annealing_point": null, "softening_point": null, "working_point": null, "melting_point": null, "expansion": null, "density": null, "youngs_modulus": null, "source": ""}, "note": "for prisms", "source": "invented"}}], "lehr": {"name": "Net loft lehr", "cooling_time_constant": 16200.0, "ambient": 293.15, "max_heating_rate": 0.05555555555555555, "max_temperature": 923.15, "thermocouple_offset": 0.0, "controller": {"entry": "rate", "unit": "C", "max_segments": 8, "rate_step": 1.0}}, "button_time": "2026-03-14T21:30:00+00:00", "out_by": "2026-03-16T13:30:00+00:00", "start_temperature": null, "hand_warm": 318.15, "limits": {"permanent_tension": 400000.0, "permanent_wall_base": 2100000.0, "temporary_tension": 7000000.0, "temporary_wall_base": 19000000.0, "safety_factor": 2.0}, "soak_above_annealing": 5.0, "timezone": ""}}',1773523800000000);
CREATE TABLE notes (
	id INTEGER NOT NULL, 
	time INTEGER NOT NULL, 
	text TEXT NOT NULL, 
	glass_id INTEGER, 
	load_id INTEGER, 
	plan_id INTEGER, 
	run_id INTEGER, 
	equipment_id INTEGER, 
	pot_id INTEGER, 
	CONSTRAINT pk_notes PRIMARY KEY (id), 
	CONSTRAINT ck_notes_one_subject CHECK ((glass_id IS NOT NULL) + (load_id IS NOT NULL) + (plan_id IS NOT NULL) + (run_id IS NOT NULL) + (equipment_id IS NOT NULL) + (pot_id IS NOT NULL) = 1), 
	CONSTRAINT fk_notes_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_glass_id_glasses FOREIGN KEY(glass_id) REFERENCES glasses (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_load_id_loads FOREIGN KEY(load_id) REFERENCES loads (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_plan_id_plans FOREIGN KEY(plan_id) REFERENCES plans (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_pot_id_pots FOREIGN KEY(pot_id) REFERENCES pots (id) ON DELETE CASCADE, 
	CONSTRAINT fk_notes_run_id_runs FOREIGN KEY(run_id) REFERENCES runs (id) ON DELETE CASCADE
);
INSERT INTO "notes" VALUES(1,1773523800000000,'Both sound.',NULL,NULL,NULL,1,NULL,NULL);
CREATE TABLE "pieces" (
	id INTEGER NOT NULL, 
	load_id INTEGER NOT NULL, 
	position INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	count INTEGER NOT NULL, 
	shape TEXT NOT NULL, 
	glass_name TEXT NOT NULL, 
	glass_id INTEGER, 
	wall_thickness_m DOUBLE, 
	base_thickness_m DOUBLE, 
	diameter_m DOUBLE, 
	height_m DOUBLE, 
	glass_version_id INTEGER, 
	CONSTRAINT pk_pieces PRIMARY KEY (id), 
	CONSTRAINT ck_pieces_count_at_least_one CHECK (count >= 1), 
	CONSTRAINT uq_pieces_load_id_position UNIQUE (load_id, position), 
	CONSTRAINT ck_pieces_shape_known CHECK (shape IN ('plate', 'cylinder', 'sphere', 'vessel')), 
	CONSTRAINT fk_pieces_load_id_loads FOREIGN KEY(load_id) REFERENCES loads (id) ON DELETE CASCADE, 
	CONSTRAINT fk_pieces_glass_id_glasses FOREIGN KEY(glass_id) REFERENCES glasses (id) ON DELETE SET NULL, 
	CONSTRAINT ck_pieces_lengths_positive CHECK (coalesce(wall_thickness_m, 1) > 0 AND coalesce(base_thickness_m, 1) > 0 AND coalesce(diameter_m, 1) > 0 AND coalesce(height_m, 1) > 0), 
	CONSTRAINT fk_pieces_glass_version_id_glass_versions FOREIGN KEY(glass_version_id) REFERENCES glass_versions (id) ON DELETE SET NULL
);
INSERT INTO "pieces" VALUES(1,1,0,'Deck prism',2,'cylinder','quay clear',1,NULL,NULL,0.05,NULL,1);
INSERT INTO "pieces" VALUES(2,1,1,'Float',8,'plate','quay clear',1,0.003,NULL,NULL,NULL,1);
CREATE TABLE plans (
	id INTEGER NOT NULL, 
	load_id INTEGER NOT NULL, 
	start_at INTEGER NOT NULL, 
	ready_at INTEGER NOT NULL, 
	snapshot TEXT NOT NULL, 
	made_at INTEGER NOT NULL, 
	CONSTRAINT pk_plans PRIMARY KEY (id), 
	CONSTRAINT ck_plans_ready_after_start CHECK (ready_at >= start_at), 
	CONSTRAINT fk_plans_load_id_loads FOREIGN KEY(load_id) REFERENCES loads (id) ON DELETE CASCADE
);
INSERT INTO "plans" VALUES(1,1,1773523800000000,1773595800000000,'{"format_version": 1, "kind": "plan", "plan": {"load_name": "Two prisms", "lehr_name": "Net loft lehr", "segments": [{"kind": "soak", "start_temperature": 820.15, "target": 820.15, "rate": 0.0, "ramp_time": 0.0, "hold_time": 3600.0, "start": "2026-03-14T21:30:00+00:00", "end": "2026-03-14T22:30:00+00:00", "governing_piece": "Deck prism", "reason": "Warm through.", "curve_time": [0.0, 3600.0], "curve_temperature": [820.15, 820.15]}], "soak_temperature": 820.15, "soak_time": 3600.0, "transformation_top": 815.15, "transformation_bottom": 775.15, "slow_rate": 0.005, "governing_piece": "Deck prism", "governing_reason": "Thickest.", "start": "2026-03-14T21:30:00+00:00", "ready_at": "2026-03-15T17:30:00+00:00", "out_by": null, "warnings": ["Invented."], "zones": [{"glass": "quay clear", "annealing_point": 815.15, "strain_point": 775.15}], "program_version": "0.1.0"}}',1773523800000000);
CREATE TABLE pots (
	id INTEGER NOT NULL, 
	equipment_id INTEGER NOT NULL, 
	name TEXT NOT NULL, 
	capacity_kg DOUBLE, 
	CONSTRAINT pk_pots PRIMARY KEY (id), 
	CONSTRAINT ck_pots_capacity_possible CHECK (capacity_kg > 0 AND capacity_kg <= 100000), 
	CONSTRAINT fk_pots_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE RESTRICT, 
	CONSTRAINT uq_pots_name UNIQUE (name)
);
INSERT INTO "pots" VALUES(1,2,'Left pot',60.0);
CREATE TABLE readings (
	id INTEGER NOT NULL, 
	equipment_id INTEGER NOT NULL, 
	run_id INTEGER, 
	import_id INTEGER, 
	time INTEGER NOT NULL, 
	temperature_k DOUBLE NOT NULL, 
	source TEXT NOT NULL, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_readings PRIMARY KEY (id), 
	CONSTRAINT ck_readings_temperature_possible CHECK (temperature_k > 0 AND temperature_k < 3000), 
	CONSTRAINT fk_readings_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE RESTRICT, 
	CONSTRAINT fk_readings_import_id_imports FOREIGN KEY(import_id) REFERENCES imports (id) ON DELETE CASCADE, 
	CONSTRAINT fk_readings_run_id_equipment_id_runs FOREIGN KEY(run_id, equipment_id) REFERENCES runs (id, equipment_id) ON DELETE CASCADE
);
INSERT INTO "readings" VALUES(1,1,1,1,1773523800000000,820.15,'logger','');
INSERT INTO "readings" VALUES(2,1,1,1,1773523860000000,820.25,'logger','');
INSERT INTO "readings" VALUES(3,1,1,1,1773523920000000,819.95,'logger','');
INSERT INTO "readings" VALUES(4,1,1,1,1773523980000000,820.05,'logger','');
INSERT INTO "readings" VALUES(5,1,1,1,1773524040000000,820.35,'logger','');
INSERT INTO "readings" VALUES(6,1,1,1,1773524100000000,820.15,'logger','');
INSERT INTO "readings" VALUES(7,1,1,NULL,1773525600000000,819.15,'typed','');
INSERT INTO "readings" VALUES(8,2,NULL,NULL,1773523800000000,1400.5,'typed','after charging');
CREATE TABLE runs (
	id INTEGER NOT NULL, 
	plan_id INTEGER NOT NULL, 
	equipment_id INTEGER NOT NULL, 
	started_at INTEGER NOT NULL, 
	finished_at INTEGER, 
	note TEXT NOT NULL, 
	CONSTRAINT pk_runs PRIMARY KEY (id), 
	CONSTRAINT ck_runs_finished_after_start CHECK (finished_at >= started_at), 
	CONSTRAINT fk_runs_equipment_id_equipment FOREIGN KEY(equipment_id) REFERENCES equipment (id) ON DELETE RESTRICT, 
	CONSTRAINT fk_runs_plan_id_plans FOREIGN KEY(plan_id) REFERENCES plans (id) ON DELETE RESTRICT, 
	CONSTRAINT uq_runs_id_equipment_id UNIQUE (id, equipment_id)
);
INSERT INTO "runs" VALUES(1,1,1,1773523800000000,1773595800000000,'first night');
CREATE INDEX ix_loads_equipment_id ON loads (equipment_id);
CREATE INDEX ix_loads_saved_at ON loads (saved_at);
CREATE INDEX ix_pots_equipment_id ON pots (equipment_id);
CREATE INDEX ix_charges_pot_id_time ON charges (pot_id, time);
CREATE INDEX ix_plans_load_id ON plans (load_id);
CREATE INDEX ix_runs_equipment_id ON runs (equipment_id);
CREATE INDEX ix_runs_plan_id ON runs (plan_id);
CREATE INDEX ix_runs_started_at ON runs (started_at);
CREATE INDEX ix_imports_run_id ON imports (run_id);
CREATE INDEX ix_notes_equipment_id ON notes (equipment_id);
CREATE INDEX ix_notes_glass_id ON notes (glass_id);
CREATE INDEX ix_notes_load_id ON notes (load_id);
CREATE INDEX ix_notes_plan_id ON notes (plan_id);
CREATE INDEX ix_notes_pot_id ON notes (pot_id);
CREATE INDEX ix_notes_run_id ON notes (run_id);
CREATE INDEX ix_readings_import_id ON readings (import_id);
CREATE UNIQUE INDEX uq_readings_equipment_id_time ON readings (equipment_id, time) WHERE run_id IS NULL;
CREATE UNIQUE INDEX uq_readings_run_id_time ON readings (run_id, time) WHERE run_id IS NOT NULL;
CREATE TRIGGER plans_in_use_change BEFORE UPDATE ON plans
WHEN EXISTS (SELECT 1 FROM runs WHERE plan_id = OLD.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER plans_in_use_removal BEFORE DELETE ON plans
WHEN EXISTS (SELECT 1 FROM runs WHERE plan_id = OLD.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER runs_keep_plan BEFORE UPDATE OF plan_id ON runs
WHEN NEW.plan_id IS NOT OLD.plan_id
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE INDEX ix_pieces_glass_id ON pieces (glass_id);
CREATE INDEX ix_pieces_glass_version_id ON pieces (glass_version_id);
CREATE TRIGGER plans_keep_number BEFORE INSERT ON plans
WHEN EXISTS (SELECT 1 FROM plans WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER plans_keep_id BEFORE UPDATE OF id ON plans
WHEN NEW.id IS NOT OLD.id
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER runs_keep_number BEFORE INSERT ON runs
WHEN EXISTS (SELECT 1 FROM runs WHERE id = NEW.id)
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER runs_keep_id BEFORE UPDATE OF id ON runs
WHEN NEW.id IS NOT OLD.id
BEGIN
    SELECT RAISE(ABORT, 'plan in use');
END;
CREATE TRIGGER glass_versions_stay BEFORE UPDATE ON glass_versions
BEGIN
    SELECT RAISE(ABORT, 'glass version stays');
END;
CREATE TRIGGER glass_versions_keep_number BEFORE INSERT ON glass_versions
WHEN EXISTS (
    SELECT 1 FROM glass_versions
    WHERE id = NEW.id OR (glass_id = NEW.glass_id AND number = NEW.number)
)
BEGIN
    SELECT RAISE(ABORT, 'glass version stays');
END;
COMMIT;
