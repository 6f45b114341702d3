-- The named views, and the indexes by which findings meet what is done about them.
CREATE INDEX action_by_tag ON action(tag);
CREATE INDEX concession_by_tag ON concession(tag);
