CALCULATIONS: tuple = ()
