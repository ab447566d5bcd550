-- The words of data sheets: LED for what was called a lamp. The figures of a part, the readings of a lot and what
-- the journal keeps of them take the new names; nothing else changes.

UPDATE part SET kind = 'led' WHERE kind = 'lamp';
UPDATE figure SET field = 'led_resistor' WHERE field = 'lamp_resistor';
UPDATE reading SET field = 'led_resistor' WHERE field = 'lamp_resistor';
UPDATE reading_image SET field = 'led_resistor' WHERE field = 'lamp_resistor';
